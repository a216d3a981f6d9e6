// The list of transmissions with text, a page of a log book: newest first, with a heading for each day.
import { address } from "../api.ts";
import { frequency, modeMark, quality } from "../format.ts";
import { h } from "../html.ts";
import { clock, day, seconds, span, time } from "../time.ts";
import type { Hit, Match } from "../types.ts";
import { dateInWords } from "../day/words.ts";
import { marked } from "./marked.ts";

/** List shows hits; more are appended. */
export class List {
  readonly root = h("div.texts-list");
  private day = "";
  private into: HTMLElement | null = null;
  private seen = new Set<number>();

  clear() {
    this.root.replaceChildren();
    this.seen.clear();
    this.day = "";
  }

  /** append adds the next page of what was found for some words. */
  append(hits: Hit[], words: string) {
    for (const hit of [...hits].sort((a, b) => +new Date(b.begin_utc) - +new Date(a.begin_utc))) {
      if (this.seen.has(hit.transmission)) continue;
      this.seen.add(hit.transmission);
      const d = day(new Date(hit.begin_utc));
      if (d !== this.day || !this.into) {
        this.day = d;
        this.into = h("ol");
        this.root.append(h("section", null, h("h2", null, dateInWords(d)), this.into));
      }
      this.into.append(row(hit, words));
    }
  }

  get count() {
    return this.seen.size;
  }

  /** step moves the focus to the next title, or the one before. */
  step(by: number) {
    const links = [...this.root.querySelectorAll<HTMLElement>("a.texts-title")];
    const at = links.indexOf(document.activeElement as HTMLElement);
    const to = links[at < 0 ? 0 : Math.max(0, Math.min(links.length - 1, at + by))];
    to?.focus();
    to?.scrollIntoView({ block: "nearest" });
  }
}

function row(t: Hit, words: string): HTMLElement {
  const to = (line?: number) => (t.chart && !t.lines ? `/chart/${t.chart}` : address(`/text/${t.transmission}`, { words, line }));
  const title = t.title || `${t.mode} without a title`;
  const lasted = (+new Date(t.end_utc) - +new Date(t.begin_utc)) / 1000;
  const size = t.lines ? `${t.lines} ${t.lines === 1 ? "line" : "lines"}` : t.chart ? "chart" : "no text";
  return h("li", null,
    h("div.texts-row", null,
      time(t.begin_utc, clock), h("span.texts-span.figure", null, t.state === "arriving" ? "arriving" : span(lasted)),
      modeMark(t.mode),
      h("span.texts-where", null, h("span.figure", null, frequency(t.hz, t.on_air)), " ", h("span.soft", null, t.receiver)),
      h("span.texts-what", null,
        h("a.texts-title", { href: to() }, title), h("span.soft", null, ` ${size}`),
        t.chart && t.lines ? [" ", h("a", { href: `/chart/${t.chart}` }, "chart")] : null,
        t.state === "cut" && h("span.soft", null, ", cut off")),
      h("span.texts-rated", null, t.favourite && h("span", { role: "img", "aria-label": "favourite" }, "★"), t.rating ? h("span.figure", { title: "rating" }, `${t.rating}/5`) : null),
      quality(t.quality)),
    t.found?.length ? h("ul.texts-found.received", null, t.found.map((m) => h("li", null, time(m.begin_utc, seconds), h("a", { href: to(m.line) }, marked(m)), mayBe(m)))) : null);
}

/** mayBe says what garbled words of a line may be. */
function mayBe(m: Match) {
  const all = [...new Set((m.may_be ?? []).filter(Boolean))];
  return all.length ? h("span.soft", null, `may be ${all.map((w) => w.toUpperCase()).join(", ")}`) : null;
}
