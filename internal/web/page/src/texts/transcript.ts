// A transcript: lines with their times in the margin, characters by confidence, what was found marked. Ten thousand lines are put
// in a part at a time, and the browser lays out what is in sight alone (content-visibility).
import { fill, h } from "../html.ts";
import { local, seconds } from "../time.ts";
import type { TextChar, TextLine } from "../types.ts";
import { characters } from "./marked.ts";
import { find, type Range } from "./words.ts";

/** Line is one that is shown. What arrives has the time of its event. */
export interface Line { begin_utc: string; text: string; characters: TextChar[] }

const blockLines = 100; // lines that are laid out together
const atOnce = 5; // blocks that are put in before the page breathes

/** lineOf is a line of the archive's as it is shown. */
export const lineOf = (l: TextLine): Line => ({ begin_utc: l.begin_utc, text: l.text, characters: l.characters ?? [{ text: l.text, utc: l.begin_utc, confidence: 1 }] });

export class Transcript {
  readonly root = h("div.transcript.received");
  /** spoken has whole lines that arrive, for those who listen. */
  readonly spoken = h("div.unseen", { role: "log", "aria-label": "Lines that arrive" });
  lines: Line[] = [];
  private rows: HTMLElement[] = []; // of lines, as far as they are put in
  private ranges = new Map<number, Range[]>();
  private words = "";
  private turn = 0;

  constructor() {
    this.root.addEventListener("pointerover", (e) => { // a tooltip of local time is made when it is looked at: there are many
      const t = (e.target as Element).closest("time");
      if (t && !t.title) t.title = local(new Date(t.dateTime));
    });
  }

  /** show shows lines. It is done when all are put in. */
  async show(lines: Line[], words: string) {
    const mine = ++this.turn;
    this.lines = lines;
    this.words = words;
    this.ranges = find(words, lines);
    this.rows = [];
    this.root.replaceChildren();
    for (let n = 0; n * blockLines < lines.length; n++) {
      if (n && n % atOnce === 0) await new Promise((done) => setTimeout(done));
      if (mine !== this.turn) return;
      this.block(lines.slice(n * blockLines, (n + 1) * blockLines));
    }
  }

  /** mark marks what is found for other words. */
  mark(words: string) {
    this.words = words;
    const before = this.ranges;
    this.ranges = find(words, this.lines);
    for (const n of new Set([...before.keys(), ...this.ranges.keys()])) this.redraw(n);
  }

  /** arrive appends characters. */
  arrive(chars: [string, number][], utc: string) {
    for (const [text, confidence] of chars) {
      const open = this.lines.at(-1);
      if (text === "\n") {
        if (open) this.say(open.text);
        this.begin(utc);
        continue;
      }
      const line = open ?? this.begin(utc);
      if (!line.text) line.begin_utc = utc;
      line.text += text;
      line.characters.push({ text, utc, confidence });
    }
    const n = this.lines.length - 1;
    const found = n >= 0 ? find(this.words, [this.lines[n]]).get(0) : undefined;
    if (found) this.ranges.set(n, found);
    this.redraw(n);
  }

  /** marks are the places that were found. */
  marks = () => [...this.root.querySelectorAll<HTMLElement>("mark")];

  /** goTo scrolls to a line. */
  goTo(n: number) {
    const row = this.rows[n];
    if (!row) return;
    this.root.querySelector(".text-line.here")?.classList.remove("here");
    row.classList.add("here");
    row.scrollIntoView({ block: "center" });
  }

  /** at is the number of the line that was received at a time. */
  at(ms: number): number {
    let n = 0;
    while (n + 1 < this.lines.length && +new Date(this.lines[n + 1].begin_utc) <= ms) n++;
    return n;
  }

  /** text is all of it, to be copied. */
  text = (times: boolean) => this.lines.map((l) => (times ? `${l.begin_utc.slice(0, 19)}Z  ${l.text}` : l.text)).join("\n") + "\n";

  private begin(utc: string): Line {
    const line: Line = { begin_utc: utc, text: "", characters: [] };
    this.lines.push(line);
    const last = this.root.lastElementChild;
    if (last && last.childElementCount < blockLines) last.append(this.row(line));
    else this.block([line]);
    return line;
  }

  private block(lines: Line[]) {
    const b = h("div.text-block", null, lines.map((l) => this.row(l)));
    b.style.setProperty("--lines", String(lines.length));
    this.root.append(b);
  }

  private row(l: Line): HTMLElement {
    const n = this.rows.length;
    const row = h("p.text-line", null, this.parts(l, n));
    this.rows.push(row);
    return row;
  }

  private parts(l: Line, n: number) {
    const t = new Date(l.begin_utc);
    const known = !isNaN(+t);
    return [h("time", known ? { datetime: t.toISOString() } : null, known ? seconds(t) : ""), h("span", null, characters(l.characters, this.ranges.get(n)))];
  }

  private redraw(n: number) {
    if (this.rows[n]) fill(this.rows[n], this.parts(this.lines[n], n));
  }

  private say(text: string) {
    const mostSpoken = 20; // lines that a screen reader may still be reading
    if (text.trim()) this.spoken.append(h("p", null, text));
    while (this.spoken.childElementCount > mostSpoken) this.spoken.firstChild!.remove();
  }
}
