// Figures as the page shows them.
import { h, svg } from "./html.ts";

/** frequency is "7878.10 kHz" on the air, and "1900 Hz" in the audio. */
export const frequency = (hz: number, onAir: boolean) => (onAir ? `${(hz / 1000).toFixed(2)} kHz` : `${hz.toFixed(0)} Hz`);

/** bytes is "12.3 MB". */
export function bytes(n: number): string {
  const units = ["B", "kB", "MB", "GB", "TB"];
  let i = 0;
  for (; n >= 1000 && i < units.length - 1; i++) n /= 1000;
  return `${i && n < 100 ? n.toFixed(1) : n.toFixed(0)} ${units[i]}`;
}

/** step is the step of the scale of quality, 0 to 5, for a quality in [0, 1]. */
export const step = (quality: number) => Math.max(0, Math.min(5, Math.floor(quality * 6)));

/** quality shows a quality in [0, 1]: a bar of six steps and a figure. */
export function quality(q: number): HTMLElement {
  const bars = svg("svg", { viewBox: "0 0 30 8", width: 30, height: 8, "aria-hidden": "true" });
  for (let i = 0; i < 6; i++) bars.append(svg(i <= step(q) ? `rect.q${step(q)}` : "rect.q-none", { x: i * 5, y: 0, width: 4, height: 8 }));
  return h("span.quality", { title: `quality ${(q * 100).toFixed(0)} of 100` }, bars, h("span.figure", null, (q * 100).toFixed(0)));
}

/** modeNumber is the number of a mode's colour, --mode-1 to --mode-8: the first ones are given in the order in which modes are met. */
const modes: string[] = ["fax", "rtty", "cw", "carrier", "other"];
export function modeNumber(mode: string): number {
  if (!modes.includes(mode)) modes.push(mode);
  return (modes.indexOf(mode) % 8) + 1;
}

/** modeMark is a mode's name on its colour. */
export const modeMark = (mode: string) => h(`span.mode.mode-${modeNumber(mode)}`, null, mode);

/** sureness is the class of a character that is doubtful, by its confidence: below 0.5 it is doubtful as everywhere else, below 0.8
 * alerts ask for other readings, and below 0.95 it is worth a look; "": it is sure. */
export const sureness = (confidence: number) => (confidence < 0.5 ? "sure-0" : confidence < 0.8 ? "sure-1" : confidence < 0.95 ? "sure-2" : "");
