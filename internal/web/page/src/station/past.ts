// What went wrong in the last day, and what was deleted in the last week.
import { bytes } from "../format.ts";
import { h } from "../html.ts";
import { clock, moment, span, time } from "../time.ts";
import type { Deletion, Incident, Station } from "./shape.ts";

const few = 12; // rows that are shown at once; the others are folded

/** incidents is the log of the last day, the latest first. */
export function incidents(s: Station) {
  if (!s.incidents.length) return h("p.soft", null, "Nothing happened in the last 24 hours.");
  const more = s.incident_count - s.incidents.length;
  return [
    folded(s.incidents, (part) => table("Incidents", ["Time", "Receiver", "What", "Details"], part.map(incident)), "earlier incidents"),
    more > 0 && h("p.soft", null, `${more} earlier ones are in the archive.`),
  ];
}

const incident = (i: Incident) =>
  h("tr", null,
    h("td", null, time(i.utc, clock)), h("td", null, i.receiver || "station"), h("td", null, i.what.replaceAll("_", " ")),
    h("td", null, i.text, i.seconds > 0 && ` (${span(i.seconds)})`, i.transmission ? [" ", h("a", { href: `/text/${i.transmission}` }, `transmission ${i.transmission}`)] : null));

/** deletions tells what was deleted in the last week, and why. */
export function deletions(s: Station) {
  if (!s.deletions.length) return h("p.soft", null, "Nothing was deleted in the last 7 days.");
  const sums = s.deleted.map((d) => `${d.count} of ${d.kind}, ${bytes(d.bytes)}`).join("; ");
  const total = s.deleted.reduce((n, d) => n + d.count, 0);
  return [
    h("p", null, `In the last 7 days: ${sums}.`),
    folded(s.deletions, (part) => table("Deletions", ["Time", "What", "Size", "Why"], part.map(deletion)), "earlier deletions"),
    total > s.deletions.length && h("p.soft", null, `${total - s.deletions.length} earlier ones are in the archive.`),
  ];
}

const deletion = (d: Deletion) =>
  h("tr", null,
    h("td", null, time(d.utc)), h("td", null, `${d.kind}${d.title ? `, ${d.title}` : ""} of `, time(d.begin_utc, moment)), h("td.figure", null, bytes(d.bytes)), h("td", null, d.reason));

const table = (name: string, heads: string[], rows: HTMLElement[]) =>
  h("div.scroll", { role: "region", "aria-label": name, tabindex: 0 },
    h("table", null, h("thead", null, h("tr", null, heads.map((t) => h("th", { scope: "col" }, t)))), h("tbody", null, rows)));

function folded<T>(all: T[], show: (part: T[]) => HTMLElement, name: string) {
  const rest = all.slice(few);
  return [show(all.slice(0, few)), rest.length > 0 && h("details", null, h("summary", null, `${rest.length} ${name}`), show(rest))];
}
