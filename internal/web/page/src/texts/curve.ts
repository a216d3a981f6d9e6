// The strength of a transmission over time, as a small curve.
import { h, svg } from "../html.ts";
import { clock } from "../time.ts";

/** curve draws levels; picked is called with the time (ms) that was clicked. */
export function curve(levels: { utc: string; snr_db: number }[], picked: (ms: number) => void): HTMLElement {
  const at = levels.map((l) => +new Date(l.utc));
  const db = levels.map((l) => l.snr_db);
  const [begin, end] = [at[0], at[at.length - 1]];
  const [least, most] = [Math.min(...db), Math.max(...db)];
  const [low, high] = [Math.min(0, Math.floor(least / 10) * 10), Math.max(10, Math.ceil(most / 10) * 10)];
  const mean = db.reduce((a, b) => a + b, 0) / db.length;
  const [width, height] = [300, 70];
  const x = (t: number) => ((t - begin) / Math.max(1, end - begin)) * width;
  const y = (v: number) => ((high - v) / (high - low)) * height;
  const grid: SVGElement[] = [];
  for (let v = low; v <= high; v += 10) grid.push(svg("line.curve-grid", { x1: 0, x2: width, y1: y(v), y2: y(v) }));
  const line = svg("polyline.curve-line", { points: at.map((t, i) => `${x(t).toFixed(1)},${y(db[i]).toFixed(1)}`).join(" ") });
  const drawing = svg("svg", { viewBox: `0 0 ${width} ${height}`, preserveAspectRatio: "none", role: "img", "aria-label": `SNR over time: from ${least.toFixed(0)} to ${most.toFixed(0)} dB, in the mean ${mean.toFixed(0)} dB` }, grid, line);
  drawing.addEventListener("click", (e) => {
    const r = drawing.getBoundingClientRect();
    picked(begin + (((e as MouseEvent).clientX - r.left) / r.width) * (end - begin));
  });
  const scale = (text: string) => h("span.figure", { "aria-hidden": "true" }, text);
  return h("figure.curve", null,
    h("figcaption", null, "SNR in 2500 Hz, dB"),
    h("div.curve-box", null, h("div.curve-scale", null, scale(String(high)), scale(String(low))), drawing),
    h("div.curve-times", null, scale(clock(new Date(begin))), scale(clock(new Date(end)))));
}
