// Filters of the charts: in the address, as the station is asked, and as fields.
import { get, type Query } from "../api.ts";
import { fill, h } from "../html.ts";
import { go } from "../view.ts";
import type { Now } from "../types.ts";
import { titles } from "./requests.ts";

/** Filters have the names of the interface; to_utc is not included. title is exact; undefined: any. */
export interface Filters {
  by: "title" | "time";
  title?: string; receiver?: string; from_utc?: string; to_utc?: string;
  least_quality?: string; least_rating?: string; favourites: boolean;
}

const names = ["receiver", "from_utc", "to_utc", "least_quality", "least_rating"] as const;
const dayLasts = 86_400_000; // ms
const stamp = (ms: number) => new Date(ms).toISOString().replace(".000Z", "Z");
const time = (text: string | null) => (text && !isNaN(Date.parse(text)) ? text : undefined);

/** endOf is the end of a day, "2026-11-27", as a filter has it. */
export const endOf = (date: string) => stamp(Date.parse(date) + dayLasts);

/** read reads an address. Charts of one title are shown by time. */
export function read(q: URLSearchParams): Filters {
  const title = q.get("title") ?? undefined;
  return {
    by: q.get("by") === "time" || title !== undefined ? "time" : "title",
    title,
    receiver: q.get("receiver") || undefined,
    from_utc: time(q.get("from_utc")),
    to_utc: time(q.get("to_utc")),
    least_quality: q.get("least_quality") || undefined,
    least_rating: q.get("least_rating") || undefined,
    favourites: q.get("favourites") === "true",
  };
}

/** link is the address of the charts with some filters. A title may be empty: that is of charts without one. */
export function link(f: Partial<Filters>): string {
  const q = new URLSearchParams();
  if (f.title !== undefined) q.set("title", f.title);
  else if (f.by === "time") q.set("by", "time");
  for (const name of [...names, "favourites"] as const) if (f[name]) q.set(name, String(f[name]));
  return q.size ? `/charts?${q}` : "/charts";
}

/** query is what the station is asked. */
export function query(f: Filters): Query {
  const { by: _, ...rest } = f;
  return { ...rest, title: f.title === "" ? [""] : f.title }; // a list keeps what is empty
}

const qualities: [string, string][] = [["", "any"], ["0.33", "33 and better"], ["0.5", "50 and better"], ["0.67", "67 and better"], ["0.83", "83 and better"]]; // steps of the scale
const ratings: [string, string][] = [["", "any"], ...[1, 2, 3, 4, 5].map((n): [string, string] => [String(n), n < 5 ? `${n} and more` : "5"])];
const all = "\u0000all"; // no title is that

/** ways are the two orders of the charts. */
export function ways(f: Filters): HTMLElement {
  const way = (by: Filters["by"], text: string) => h("a.button", { href: link({ ...f, by, title: undefined }), "aria-current": f.by === by && f.title === undefined ? "true" : null }, text);
  return h("div.chart-ways", { role: "group", "aria-label": "Order" }, way("title", "By title"), way("time", "By time"));
}

/** bar is the row of fields. What is put there moves to another address. */
export function bar(f: Filters): HTMLElement {
  const move = (change: Partial<Filters>) => go(link({ ...f, ...change }));
  const select = (name: string, value: string, options: [string, string][], put: (v: string) => void) => {
    const s = h("select", { onchange: () => put(s.value) }, options.map(([v, text]) => h("option", { value: v, selected: v === value }, text)));
    return { label: h("label", null, name, s), select: s };
  };
  const dates = (name: string, value: string | undefined, put: (date: string) => void) =>
    h("label", null, name, h("input", { type: "date", value: value?.slice(0, 10) ?? "", onchange: (e: Event) => put((e.target as HTMLInputElement).value) }));
  const title = select("Title", f.title ?? all, [[all, "any"], ...(f.title !== undefined ? [[f.title, f.title || "without a title"] as [string, string]] : [])], (v) => move(v === all ? { title: undefined } : { title: v, by: "time" }));
  const receiver = select("Receiver", f.receiver ?? "", [["", "any"], ...(f.receiver ? [[f.receiver, f.receiver] as [string, string]] : [])], (v) => move({ receiver: v || undefined }));
  offer(title.select, titles({}).then((t) => t.map((x) => [x.title, x.title || "without a title"])));
  offer(receiver.select, get<Now>("/api/now").then((n) => n.receivers.map((r) => [r.name, r.name])));

  const more = h("div.chart-more", null,
    title.label, receiver.label,
    select("Quality", f.least_quality ?? "", qualities, (v) => move({ least_quality: v || undefined })).label,
    select("Rating", f.least_rating ?? "", ratings, (v) => move({ least_rating: v || undefined })).label,
    dates("From day (UTC)", f.from_utc, (d) => move({ from_utc: d ? `${d}T00:00:00Z` : undefined })),
    dates("To day (UTC)", f.to_utc && stamp(Date.parse(f.to_utc) - 1), (d) => move({ to_utc: d ? endOf(d) : undefined })),
    h("label.inline", null, h("input", { type: "checkbox", checked: f.favourites, onchange: (e: Event) => move({ favourites: (e.target as HTMLInputElement).checked }) }), "Favourites"));
  const set = [f.title, ...names.map((n) => f[n])].filter((x) => x !== undefined).length + Number(f.favourites);
  const details = h("details.chart-filters", { open: matchMedia("(min-width: 60rem)").matches }, h("summary", null, set ? `Filters (${set})` : "Filters"), more);
  const root = h("div.chart-bar");
  fill(root, details, set > 0 && h("a.chart-clear", { href: link({ by: f.by }) }, "All charts"));
  return root;
}

/** offer adds options to a select that has one of them already. If they cannot be had, what is there stays. */
function offer(s: HTMLSelectElement, options: Promise<[string, string][]>) {
  options.then((list) => {
    const has = new Set([...s.options].map((o) => o.value));
    for (const [value, text] of list) if (!has.has(value)) s.append(h("option", { value }, text));
  }, () => {});
}
