// A transcript: lines with their times in the margin, characters by confidence, what was found marked. Of ten thousand lines the
// browser lays out those in sight alone (content-visibility).
import { fill, h } from "../html.ts";
import { seconds } from "../time.ts";
import type { Char, Match, TextChar, TextLine } from "../types.ts";
import { characters } from "./marked.ts";

/** Line is one that is shown. Of one that arrives the time is that of its first characters, or not known: "". */
export interface Line extends Pick<Match, "matches" | "may_be"> { begin_utc: string; text: string; chars: TextChar[] }

const blockLines = 100; // lines that are laid out together

export class Transcript {
  readonly root = h("div.transcript.received");
  /** spoken has whole lines that arrive, for those who listen. */
  readonly spoken = h("div.unseen", { role: "log", "aria-label": "Lines that arrive" });
  readonly lines: Line[] = [];
  private rows: HTMLElement[] = []; // of lines

  /** put puts lines in at a number. Those that are there already are drawn again, if other places are found in them. */
  put(lines: (Line | TextLine)[], from: number) {
    lines.forEach((l, i) => {
      const was = this.lines[from + i];
      if (!was) return this.add(l);
      this.lines[from + i] = l;
      if (was.matches || l.matches || was.text !== l.text) this.draw(from + i);
    });
  }

  /** clear takes all lines out. */
  clear() {
    this.lines.length = this.rows.length = 0;
    this.root.replaceChildren();
  }

  /** arrive appends characters. */
  arrive(chars: Char[], utc: string) {
    for (const [text, confidence] of chars) {
      const open = this.lines.at(-1);
      if (text === "\n") {
        if (open) this.say(open.text);
        this.add({ begin_utc: "", text: "", chars: [] });
        continue;
      }
      const line = open ?? this.add({ begin_utc: "", text: "", chars: [] });
      if (!line.text) line.begin_utc = utc;
      line.text += text;
      line.chars.push([text, confidence]);
    }
    this.draw(this.lines.length - 1);
  }

  /** marks are the places that were found. */
  marks = () => [...this.root.querySelectorAll<HTMLElement>("mark")];

  /** goTo scrolls to a line. */
  goTo(n: number) {
    this.root.querySelector(".text-line.here")?.classList.remove("here");
    this.rows[n]?.classList.add("here");
    this.rows[n]?.scrollIntoView({ block: "center" });
  }

  /** at is the number of the line that was received at a time. */
  at(ms: number): number {
    const after = this.lines.findIndex((l) => +new Date(l.begin_utc) > ms);
    return Math.max(0, (after < 0 ? this.lines.length : after) - 1);
  }

  /** text is all of it, to be copied. */
  text = (times: boolean) => this.lines.map((l) => (times ? `${l.begin_utc && l.begin_utc.slice(0, 19) + "Z"}  ${l.text}` : l.text)).join("\n") + "\n";

  private add(line: Line): Line {
    this.lines.push(line);
    const row = h("p.text-line");
    this.rows.push(row);
    let block = this.root.lastElementChild as HTMLElement | null;
    if (!block || block.childElementCount >= blockLines) this.root.append((block = h("div.text-block")));
    block.append(row);
    block.style.setProperty("--lines", String(block.childElementCount));
    this.draw(this.lines.length - 1);
    return line;
  }

  private draw(n: number) {
    const l = this.lines[n];
    if (!l) return;
    const t = new Date(l.begin_utc);
    const known = !isNaN(+t);
    fill(this.rows[n], h("time", known ? { datetime: t.toISOString() } : null, known ? seconds(t) : ""), h("span", null, characters(l.chars, l)));
  }

  private say(text: string) {
    const mostSpoken = 20; // lines that a screen reader may still be reading
    if (text.trim()) this.spoken.append(h("p", null, text));
    while (this.spoken.childElementCount > mostSpoken) this.spoken.firstChild!.remove();
  }
}
