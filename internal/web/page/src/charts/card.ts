// Cards of the wall of charts.
import { frequency, quality } from "../format.ts";
import { h, type Child } from "../html.ts";
import { clock, day, moment, time, weekday } from "../time.ts";
import type { Chart } from "../types.ts";
import { thumbnail, type Titled } from "./requests.ts";

const figure = (n: number) => String(n).replace(/\B(?=(\d{3})+$)/g, ",");

/** many is "1 chart" or "1,234 charts". */
export const many = (n: number) => `${figure(n)} ${n === 1 ? "chart" : "charts"}`;

/** nameOf is a chart's title in words. */
export const nameOf = (title: string) => title || "Without a title";

const picture = (chart: number, sketch: boolean) => h("span.chart-thumb", null, !sketch && h("img", { src: thumbnail(chart), alt: "", decoding: "async", draggable: "false" }));

const card = (href: string, classes: string, image: Child, name: string, ...rest: Child[]) =>
  h(`article.chart-card${classes}`, null, h("a", { href, "aria-label": name }, image), rest);

/** marks are what a person has said of a chart. */
function marks(c: Chart) {
  const said = [c.favourite && "favourite", c.rating && `rated ${c.rating} of 5`].filter(Boolean).join(", ");
  return said && h("span.chart-marks", { title: said, role: "img", "aria-label": said }, (c.favourite ? "★" : "") + (c.rating ? ` ${c.rating}/5` : ""));
}

/** chartCard shows a chart; of one that has not come yet, number and time are known. */
export function chartCard(chart: number, begin: number, c: Chart | null, sketch: boolean): HTMLElement {
  const t = new Date(begin);
  const name = c ? `${nameOf(c.title)}, ${moment(t)}, ${c.receiver}, quality ${(c.quality * 100).toFixed(0)} of 100${c.favourite ? ", favourite" : ""}` : moment(t);
  return card(`/chart/${chart}`, "", picture(chart, sketch), name,
    h("p.chart-name", { title: c ? nameOf(c.title) : null }, c ? nameOf(c.title) : " "),
    h("p.chart-facts", null, time(t, clock), c && quality(c.quality), c && marks(c)),
    h("p.chart-facts.soft", null, c ? [h("span", null, c.receiver), h("span.figure", null, frequency(c.hz, c.on_air))] : " "));
}

/** stackCard shows a title: its latest chart, and how many there are. */
export function stackCard(t: Titled, href: string, sketch: boolean): HTMLElement {
  const charts = many(t.charts);
  const c = t.latest;
  return card(href, t.charts > 1 ? ".stack" : "", picture(c.chart, sketch), `${nameOf(t.title)}, ${charts}, the latest ${moment(new Date(c.begin_utc))}`,
    h("p.chart-name", { title: nameOf(t.title) }, nameOf(t.title)),
    h("p.chart-facts", null, time(c.begin_utc), quality(c.quality)),
    h("p.chart-facts.soft", null, h("span", null, charts), h("a", { href: `/chart/${c.chart}`, "aria-label": `Latest chart of ${nameOf(t.title)}` }, "latest")));
}

/** dayHeading stands above the charts of a day. */
export const dayHeading = (begin: number) => {
  const t = new Date(begin);
  return h("h2.chart-day-heading", null, h("time", { datetime: day(t) }, day(t)), h("span", null, weekday(t)), h("a", { href: `/day/${day(t)}` }, "the day's log"));
};
