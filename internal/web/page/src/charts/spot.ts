// What a chart's address says: which chart, what is done with it, and what is on the screen.
import type { Place } from "../view.ts";

/** Tool is what the viewer does. move, start and lean belong to putting right by hand, and say what a drag does there. */
export type Tool = "look" | "compare" | "film" | "move" | "start" | "lean";
const tools: Tool[] = ["look", "compare", "film", "move", "start", "lean"];

export const mends = (t: Tool) => t === "move" || t === "start" || t === "lean";

export interface Spot {
  chart: number;
  tool: Tool;
  with?: number; // version that is compared, instead of the original
  zoom?: number; // pixels of the screen for one of the picture; undefined: the chart has the screen's width
  at?: { x: number; y: number }; // pixel of the picture in the middle
}

export function read(p: Place): Spot {
  const tool = p.query.get("tool") as Tool;
  const [x, y] = (p.query.get("at") ?? "").split(",").map(Number);
  const zoom = Number(p.query.get("zoom"));
  return {
    chart: Number(p.at.chart),
    tool: tools.includes(tool) ? tool : "look",
    with: Number(p.query.get("with")) || undefined,
    zoom: zoom > 0 ? zoom : undefined,
    at: isFinite(x) && isFinite(y) ? { x, y } : undefined,
  };
}

export function link(s: Spot): string {
  const q: string[] = [];
  if (s.tool !== "look") q.push(`tool=${s.tool}`);
  if (s.with && s.tool === "compare") q.push(`with=${s.with}`);
  if (s.zoom) q.push(`zoom=${+s.zoom.toPrecision(4)}`);
  if (s.zoom && s.at) q.push(`at=${s.at.x.toFixed(0)},${s.at.y.toFixed(0)}`);
  return `/chart/${s.chart}${q.length ? "?" + q.join("&") : ""}`;
}
