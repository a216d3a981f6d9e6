// What is known of a transmission, and its charts.
import { frequency, quality } from "../format.ts";
import { h, type Child } from "../html.ts";
import { moment, seconds, span, time } from "../time.ts";
import type { Record_ } from "../types.ts";

const states = { arriving: "still arriving", complete: "", cut: "cut off: the station ended while it was received" };

/** known is a list of what is known. */
export function known(t: Record_): HTMLElement {
  const lasted = (+new Date(t.end_utc) - +new Date(t.begin_utc)) / 1000;
  const facts: [string, Child][] = [
    ["Began", time(t.begin_utc, (d) => `${moment(d).slice(0, 10)} ${seconds(d)}`)],
    ["Ended", t.state === "arriving" ? states.arriving : [time(t.end_utc, seconds), ` after ${span(lasted)}`]],
    ["State", states[t.state] && t.state === "cut" ? states.cut : null],
    ["Time from", t.time_from],
    ["Receiver", t.receiver],
    ["Source", t.source && t.source !== t.receiver ? t.source : null],
    ["Frequency", h("span.figure", null, frequency(t.hz, t.on_air))],
    ["Width", t.low_hz && t.high_hz ? h("span.figure", null, `${(t.high_hz - t.low_hz).toFixed(0)} Hz`) : null],
    ["Mode", t.mode],
    ["Settings", t.settings],
    ["SNR", h("span.figure", null, `${t.snr_db.toFixed(1)} dB`)],
    ["Quality", quality(t.quality)],
    ["Characters", t.characters ? h("span.figure", null, `${t.characters}, ${t.doubtful ?? 0} doubtful`) : null],
    ["Programme", t.programme_entry],
  ];
  return h("dl.known", null, facts.filter(([, v]) => v).map(([name, v]) => h("div", null, h("dt", null, name), h("dd", null, v))));
}

/** charts are links to those of a transmission. */
export function charts(t: Record_): HTMLElement | null {
  if (!t.charts.length) return null;
  return h("ul.text-charts", null, t.charts.map((c) => h("li", null, h("a", { href: `/chart/${c.chart}` },
    h("img", { src: `/api/charts/${c.chart}/thumbnail`, alt: "", loading: "lazy" }), h("span", null, c.title || "Chart"), quality(c.quality)))));
}
