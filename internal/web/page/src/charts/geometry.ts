// How changes move the pixels of a chart, as the station's drawing does it (internal/chartfile: Redraw).
import type { Changes, ChartDetail } from "../types.ts";
import type { Size } from "./camera.ts";
import type { Bend } from "./plate.ts";

/** Received is how a chart was drawn before anybody changed it. */
export interface Received { lpm: number; ioc: number; clockPPM: number; size: Size }

export const received = (d: ChartDetail): Received => ({ lpm: d.lpm, ioc: d.ioc, clockPPM: Number(d.info.clock_error_ppm) || 0, size: { width: d.width, height: d.height } });

/** ppm is the clock error that changes draw with. */
export const ppm = (r: Received, c: Changes) => c.clock_ppm ?? r.clockPPM;

/** sizeOf is that of the drawing. */
export function sizeOf(r: Received, c: Changes): Size {
  const lines = (r.size.height * (c.lpm ?? r.lpm) * (1 + r.clockPPM * 1e-6)) / (r.lpm * (1 + ppm(r, c) * 1e-6));
  return { width: Math.round(Math.PI * (c.ioc ?? r.ioc)), height: Math.max(1, Math.round(lines)) };
}

/** bend is how a drawing with some changes is bent to look like one with others. */
export function bend(r: Received, from: Changes, to: Changes, width: number): Bend {
  return {
    shift: wrap((to.shift ?? 0) - (from.shift ?? 0), width),
    lean: width * 1e-6 * (ppm(r, to) - ppm(r, from)),
    invert: Boolean(to.invert) !== Boolean(from.invert),
  };
}

/** wrap is the same line start within half a line. */
export const wrap = (shift: number, width: number) => shift - width * Math.round(shift / width);

/** leanBy is by how much the clock error changes when a pixel in a row is dragged to the right and the top stays. Near the top, where
 * a pixel would be very much, it is as if the row were lower. */
export const leanBy = (dx: number, row: number, size: Size) => -dx / (Math.max(row, size.height / 8) * size.width * 1e-6);
