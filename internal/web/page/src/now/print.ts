// Text as it is printed. It stays at its end until the reader scrolls up: the box is a column in reverse, which browsers keep at
// its end by themselves.
import { sureness } from "../format.ts";
import { h } from "../html.ts";
import type { Char } from "../types.ts";

const mostLines = 200; // that stand in the page
const mostLong = 400; // characters of a line: what sends no line ends is divided
const leastSaid = 60; // characters of such a text, to the next space, that are read aloud as a line

/** Print is a box with a transmission's text; said is called with each whole line. */
export class Print {
  private lines = h("div.print-lines");
  private newest = h("button.newest", { type: "button", hidden: true, onclick: () => this.root.scrollTo({ top: 0 }) }, "Newest ↓");
  readonly root = h("div.print.received", { tabindex: 0, role: "group" }, h("div.newest-place", null, this.newest), this.lines);
  private line: HTMLElement | null = null;
  private long = 0;
  private end: { kind: string; text: Text } | null = null;
  private unsaid = "";

  constructor(name: string, private said?: (line: string) => void) {
    this.name(name);
    this.root.addEventListener("scroll", () => (this.newest.hidden = this.root.scrollTop > -20));
  }

  name(name: string) {
    this.root.setAttribute("aria-label", `Text of ${name}`);
  }

  /** add prints characters. */
  add(chars: Char[], aloud = true) {
    for (const [c, confidence] of chars) {
      if (c === "\n" || this.long >= mostLong) this.line = null;
      if (aloud) this.say(c);
      if (c === "\n" || c === "\r") continue;
      if (!this.line) {
        this.lines.append((this.line = h("div.print-line")));
        this.long = 0;
        this.end = null;
        while (this.lines.childElementCount > mostLines) this.lines.firstElementChild!.remove();
      }
      const sure = sureness(confidence);
      if (this.end?.kind === sure) this.end.text.appendData(c);
      else {
        const text = document.createTextNode(c);
        this.line.append(sure ? h(`span.${sure}`, { title: "doubtful" }, text) : text);
        this.end = { kind: sure, text };
      }
      this.long++;
    }
  }

  /** over says what is left. */
  over() {
    this.say("\n");
  }

  private say(c: string) {
    if (c !== "\n" && !(c === " " && this.unsaid.length >= leastSaid)) {
      this.unsaid += c;
      return;
    }
    if (this.unsaid.trim()) this.said?.(this.unsaid.trim());
    this.unsaid = "";
  }
}
