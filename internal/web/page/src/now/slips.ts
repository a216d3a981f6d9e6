// Slips below a strip: what each transmission says, the newest in front.
import { frequency, modeMark, quality } from "../format.ts";
import { fill, h } from "../html.ts";
import { clock, time } from "../time.ts";
import type { Char } from "../types.ts";
import { Drawing } from "./drawing.ts";
import type { Heard } from "./heard.ts";
import { what } from "./marks.ts";
import { Print } from "./print.ts";

const mostPast = 4; // slips of what is over; the rest is under Texts and Charts

const open = (href: string, of: string) => h("a", { href }, "Open", h("span.unseen", null, ` ${of}`));

class Slip {
  private head = h("header.slip-head");
  private shown = "";
  readonly drawing?: Drawing;
  private print?: Print;
  readonly root: HTMLElement;

  constructor(readonly heard: Heard, private choose: (heard: Heard, from: HTMLElement) => void, said: (heard: Heard, line: string) => void) {
    if (heard.chart) {
      this.drawing = new Drawing(heard.t.transmission);
      if (heard.rows) void this.drawing.join();
    } else {
      this.print = new Print(what(heard.t), (line) => said(heard, line));
      this.print.add(heard.chars, false);
    }
    this.root = h("article.slip", null, this.head, this.drawing?.root, this.print?.root);
    this.show();
  }

  add(chars: Char[]) {
    this.print?.add(chars);
  }

  show() {
    const { t, going, drawn, saved } = this.heard;
    const name = what(t);
    const key = [name, t.settings, t.hz, t.state, going, drawn, saved?.chart, !going && t.quality].join();
    if (key === this.shown) return; // of what changes much is nothing to be seen here
    this.shown = key;
    const title = h("button.slip-title", { type: "button", onclick: () => this.choose(this.heard, title) }, name === t.mode ? frequency(t.hz, t.on_air) : t.title || t.settings || t.mode);
    this.print?.name(name);
    if (!going) this.print?.over();
    this.root.classList.toggle("done", !going);
    this.root.setAttribute("aria-label", `${t.mode}, ${name}`);
    const focused = this.head.contains(document.activeElement);
    fill(this.head, modeMark(t.mode), title,
      h("span.slip-facts.figure", null, time(t.begin_utc, clock), going && !drawn && " …"),
      drawn && !saved && h("span.soft", null, "being restored"),
      t.state === "cut" && h("span.soft", null, "cut off"),
      !going && t.quality > 0 && quality(t.quality),
      saved ? open(`/chart/${saved.chart}`, `the chart ${name}`) : !going && this.print ? open(`/text/${t.transmission}`, `the text of ${name}`) : null);
    if (focused) title.focus({ preventScroll: true });
  }
}

/** Slips are those of a receiver. */
export class Slips {
  readonly root = h("div.slips");
  private slips = new Map<number, Slip>();

  constructor(private choose: (heard: Heard, from: HTMLElement) => void, private said: (heard: Heard, line: string) => void) {}

  /** show shows a transmission, or what changed of it; anew: all of it. One that neither says anything nor draws has no slip. */
  show(heard: Heard, anew = false) {
    const id = heard.t.transmission;
    const slip = this.slips.get(id);
    if (slip?.heard === heard && (slip.drawing !== undefined) === heard.chart && !anew) slip.show();
    else if (heard.chart || heard.chars.length) {
      const s = new Slip(heard, this.choose, this.said);
      if (slip) slip.root.replaceWith(s.root); // it was taken for another kind
      else this.root.prepend(s.root);
      this.slips.set(id, s);
    }
    this.bound();
  }

  text(heard: Heard, chars: Char[]) {
    const slip = this.slips.get(heard.t.transmission);
    if (slip) slip.add(chars);
    else this.show(heard);
  }

  drawing(id: number): Drawing | undefined {
    return this.slips.get(id)?.drawing;
  }

  private bound() {
    const past = [...this.slips].filter(([, s]) => !s.heard.going); // oldest first
    for (const [id, s] of past.slice(0, Math.max(0, past.length - mostPast))) {
      s.root.remove();
      this.slips.delete(id);
    }
  }
}
