// The map of the band as the station tells it, and its rows.

export interface Cell { hz: number; hour: number; mode: string; seconds: number; transmissions: number; mean_snr_db: number }
export interface BandMap { step_hz: number; hours: number; modes: string[]; cells: Cell[]; heard_hours: number[] }

/** Row is a frequency with its cells by hour; or a part of the band in which nothing was heard: then hz is where it begins. */
export interface Row { hz: number; silentHz?: number; hours: Cell[][] }

const mostRows = 60; // that can be overlooked; if there are more, rows get wider
const widths = [1, 2, 4, 10, 20, 50, 100, 200, 500, 1000]; // of rows, in steps
const mostEmpty = 3; // rows in which nothing was heard, until they are told as one

/** rowsOf sorts cells into rows, the lowest frequency first. step is the width of a row in Hz. */
export function rowsOf(map: BandMap, modes: string[]): { rows: Row[]; step: number } {
  const cells = map.cells.filter((c) => !modes.length || modes.includes(c.mode));
  const count = (step: number) => new Set(cells.map((c) => Math.round(c.hz / step))).size;
  const step = map.step_hz * (widths.find((w) => count(map.step_hz * w) <= mostRows) ?? widths[widths.length - 1]);
  const byHz = new Map<number, Cell[]>();
  for (const c of cells) {
    const n = Math.round(c.hz / step);
    byHz.set(n, [...(byHz.get(n) ?? []), c]);
  }
  const rows: Row[] = [];
  let last: number | null = null;
  for (const n of [...byHz.keys()].sort((a, b) => a - b)) {
    const empty = last === null ? 0 : n - last - 1;
    if (empty > mostEmpty) rows.push({ hz: (last! + 1) * step, silentHz: empty * step, hours: [] });
    else for (let i = n - empty; i < n; i++) rows.push({ hz: i * step, hours: [] });
    rows.push({ hz: n * step, hours: Array.from({ length: map.hours }, (_, hour) => together(byHz.get(n)!.filter((c) => c.hour === hour))) });
    last = n;
  }
  return { rows, step };
}

/** together adds up cells of the same mode, the one that was heard longest first. */
function together(cells: Cell[]): Cell[] {
  const sums = new Map<string, Cell>();
  for (const c of cells) {
    const s = sums.get(c.mode);
    if (!s) sums.set(c.mode, { ...c });
    else {
      s.mean_snr_db = (s.mean_snr_db * s.seconds + c.mean_snr_db * c.seconds) / Math.max(1, s.seconds + c.seconds);
      s.seconds += c.seconds;
      s.transmissions += c.transmissions;
    }
  }
  return [...sums.values()].sort((a, b) => b.seconds - a.seconds);
}

/** least shares of the time listened for which the colour is as strong as a step, from 1: signals are on the air for a small part
 * of the time, so that the steps grow threefold. */
export const shares = [0, 0.01, 0.03, 0.1, 0.3];

/** share is the part of the time listened at an hour in which something was heard; null: nobody knows how long was listened. */
export function share(c: Cell, map: BandMap): number | null {
  const listened = map.heard_hours[c.hour] * 3600;
  return listened > 0 ? Math.min(1, c.seconds / listened) : null;
}

/** strength is the step of a share, 1 to 5. */
export const strength = (s: number | null) => (s === null ? 1 : shares.filter((least) => s >= least).length);
