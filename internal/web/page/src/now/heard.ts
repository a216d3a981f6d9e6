// What is known of a transmission that goes on, or did lately.
import type { Char, Going, Transmission } from "../types.ts";
import type { Saved } from "./drawing.ts";

const mostChars = 4_000; // that are kept for the panel, as the station keeps them

/** Heard is a transmission and what came of it. */
export interface Heard {
  t: Transmission;
  chars: Char[];
  chart: boolean; // it is, or may be, a chart
  drawn: boolean; // its chart is complete, and is being restored
  rows: number; // of the chart so far
  saved?: Saved;
  going: boolean;
}

/** begin takes a transmission from the station. */
export function begin(g: Going): Heard {
  return { t: g, chars: g.text ?? [], chart: g.chart !== undefined || g.mode === "fax", drawn: g.chart?.drawing ?? false, rows: g.chart?.rows ?? 0, going: g.state === "arriving" };
}

/** add adds characters; the first ones are forgotten, many at once. */
export function add(heard: Heard, chars: Char[]) {
  heard.chars.push(...chars);
  if (heard.chars.length > 1.25 * mostChars) heard.chars.splice(0, heard.chars.length - mostChars);
}
