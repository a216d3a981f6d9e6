// All that is known of a chart, beside it.
import { bytes, frequency, quality, step } from "../format.ts";
import { h, svg, type Child } from "../html.ts";
import { seconds, day, span, time } from "../time.ts";
import type { Changes, ChartDetail } from "../types.ts";
import { nameOf } from "./card.ts";
import { link as charts } from "./filters.ts";

const figure = (x: unknown, digits: number, unit: string) => (typeof x === "number" ? `${x.toFixed(digits)} ${unit}` : "not known");
const signed = (x: unknown, digits: number, unit: string) => (typeof x === "number" ? `${x > 0 ? "+" : ""}${x.toFixed(digits)} ${unit}` : "not known");

/** legend lists what is known. */
export function legend(d: ChartDetail): HTMLElement {
  const i = d.info;
  const row = (name: string, ...value: Child[]) => [h("dt", null, name), h("dd", null, value)];
  const whole = (t: Date) => `${day(t)} ${seconds(t)}`;
  return h("dl.chart-legend", null,
    row("Title", h("a", { href: charts({ title: d.title }) }, nameOf(d.title))),
    row("Begun", time(d.begin_utc, whole)),
    row("Ended", time(d.end_utc, whole), ` (${span((Date.parse(d.end_utc) - Date.parse(d.begin_utc)) / 1000)})`),
    row("Time from", String(i.time_from || "not known")),
    row("Receiver", h("a", { href: charts({ by: "time", receiver: d.receiver }) }, d.receiver), i.source ? `, ${i.source}` : ""),
    row("Frequency", h("span.figure", null, frequency(d.hz, d.on_air))),
    row("Lines", h("span.figure", null, `${d.lpm} a minute, ${d.height} in all`)),
    row("Index of cooperation", h("span.figure", null, `${d.ioc}`), ` (${d.width} pixels a line)`),
    row("Quality", quality(d.quality)),
    row("Signal to noise", h("span.figure", null, figure(d.snr_db, 1, "dB"))),
    row("Clock error", h("span.figure", null, signed(i.clock_error_ppm, 2, "ppm")), i.slant_measured ? ", measured" : ", not measured"),
    row("Tuning error", h("span.figure", null, signed(i.tuning_hz, 1, "Hz"))),
    row("Line start", i.line_start_measured ? `measured, ${(Number(i.line_start_confidence) * 100).toFixed(0)} % sure` : "not measured"),
    row("Begun by", String(i.began || "not known")),
    row("Ended by", String(i.ended || "not known")),
    row("Echo", Number(i.echo_ms) > 0 ? figure(i.echo_ms, 2, "ms late") : "none"),
    row("Ink", i.two_level ? "black and white" : "greys"),
    row("Picture", `${d.width} × ${d.height} pixels, ${bytes(d.picture_bytes)}`),
    row("Transmission", h("a", { href: `/text/${d.transmission}` }, `number ${d.transmission}`)));
}

/** pixelInWords is what is known of a pixel; "" outside the chart. */
export function pixelInWords(d: ChartDetail, at: { x: number; y: number }): string {
  const x = Math.floor(at.x), y = Math.floor(at.y);
  if (x < 0 || y < 0 || x >= d.width || y >= d.height) return "";
  const sent = new Date(Date.parse(d.begin_utc) + ((y + x / d.width) * 60_000) / d.lpm);
  const q = d.line_quality[y];
  return `line ${y + 1}, pixel ${x + 1}, sent ${seconds(sent)}${q === undefined ? "" : `, quality ${Math.round((q * 100) / 255)}`}`;
}

const words = ["lost", "poor", "doubtful", "fair", "good", "perfect"];

/** scale explains the strip beside the chart. */
export function scale(line: number[]): HTMLElement {
  const counts = words.map(() => 0);
  for (const q of line) counts[step(q / 255)]++;
  return h("div.chart-scale", null,
    h("h2", null, "Quality of the lines"),
    h("ul", null, words.map((word, n) => h("li", null,
      svg("svg", { viewBox: "0 0 16 10", width: 16, height: 10, "aria-hidden": "true" }, svg(`rect.q${n}`, { x: 2.2 * n, y: 0, width: 16 - 2.2 * n, height: 10 })),
      h("span", null, word), h("span.figure", null, line.length ? `${Math.round((100 * counts[n]) / line.length)} %` : "–")))));
}

const told: [keyof Changes, (v: any) => string][] = [
  ["shift", (v) => `line start ${v > 0 ? "right" : "left"} by ${Math.abs(v).toFixed(0)} pixels`],
  ["clock_ppm", (v) => `clock error ${v.toFixed(2)} ppm`],
  ["lpm", (v) => `${v} lines a minute`],
  ["ioc", (v) => `index of cooperation ${v}`],
  ["invert", () => "black and white swapped"],
  ["black", (v) => `black at ${(v * 100).toFixed(0)} %`],
  ["white", (v) => `white at ${(v * 100).toFixed(0)} %`],
  ["plain", () => "not restored"],
  ["deviation_hz", (v) => `deviation ${v} Hz`],
  ["tuning_hz", (v) => `tuning ${v} Hz`],
];

/** inWords are the changes of a version. */
export const inWords = (c: Changes) => told.filter(([k]) => c[k] !== undefined && c[k] !== false && !(k === "shift" && !c[k])).map(([k, say]) => say(c[k])).join(", ") || "as it was received";
