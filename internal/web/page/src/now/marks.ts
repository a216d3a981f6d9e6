// What lies over a spectrogram: the frame of times at its left, gaps, and outlines of what was found.
import { frequency, modeNumber } from "../format.ts";
import { h } from "../html.ts";
import { clock, seconds } from "../time.ts";
import type { Transmission } from "../types.ts";
import type { History, Line, Speed } from "./history.ts";
import type { Range } from "./scale.ts";

const timeSteps: Record<Speed, number> = { 1: 5_000, 3: 10_000, 10: 60_000 }; // ms between times, 33 pixels or more
const leastApart = 24; // pixels between two times
const below = 60; // lines below the lower edge, where marks are taken away
const least = 8; // pixels that an outline is wide at least, so that it can be hit
const labelHeight = 20; // pixels
const labelRows = 4; // of labels of what goes on, where many lie close together

/** what is a transmission in a few words. */
export const what = (t: Transmission) => t.title || [t.mode, t.settings].filter(Boolean).join(" ");

interface Placed { number: number; element: HTMLElement }
interface Outline { t: Transmission; link: HTMLAnchorElement; label: HTMLElement; going: boolean; room: number; high: number }

/** Marks places elements by lines of the history. What goes on stands still at the upper edge; what is past moves down with the
 * lines, all in one layer. */
export class Marks {
  private past = h("div.past");
  private present = h("div.present");
  readonly root = h("div.marks", null, this.past, this.present);
  private outlines = new Map<number, Outline>();
  private lines: Placed[] = []; // times and gaps, oldest first
  private anchor = 0; // line at which the layer of the past begins
  private filled = false; // the frame, above the last time
  private tick: Placed | null = null; // the last one
  private lastTick = 0;
  private head = 0; // where the picture is
  range: Range = { low: 0, high: 1 };
  width = 0;
  height = 0;

  constructor(private history: () => History | null, private choose: (t: Transmission, from: HTMLElement) => void) {}

  /** line takes note of a new line of the history. */
  line(l: Line) {
    const step = timeSteps[this.history()?.speed ?? 3];
    const tick = Math.floor(l.utc / step);
    const room = !this.tick || l.number - this.tick.number >= leastApart; // a recording may be heard faster than it sounds
    if (tick !== this.lastTick && this.lastTick && room) {
      this.filled = !this.filled;
      this.tick?.element.style.setProperty("--tick", `${l.number - this.tick.number}px`); // its bar ends here
      this.tick = this.put(l.number, h(this.filled ? "div.time-tick.odd" : "div.time-tick", null, h("span", null, step < 60_000 ? seconds(new Date(tick * step)) : clock(new Date(tick * step)))));
    }
    this.lastTick = tick;
    if (l.gap) this.put(l.number, h("div.gap", null, h("span", null, `${Math.round(l.gap / 1000)} s not shown`)));
  }

  private put(number: number, element: HTMLElement): Placed {
    element.style.top = `${this.anchor - number}px`;
    element.setAttribute("aria-hidden", "true");
    const placed = { number, element };
    this.lines.push(placed);
    this.past.append(element);
    return placed;
  }

  /** again begins anew: the history makes its lines again. */
  again() {
    this.lines.forEach((l) => l.element.remove());
    this.lines = [];
    this.tick = null;
    this.anchor = this.lastTick = 0;
  }

  /** show shows a transmission, or what changed of it. */
  show(t: Transmission, going: boolean) {
    const o = this.outlines.get(t.transmission) ?? this.outline(t, going);
    if (o.going !== going) {
      const focused = document.activeElement === o.link;
      (going ? this.present : this.past).append(o.link);
      if (focused) o.link.focus({ preventScroll: true });
    }
    o.t = t;
    o.going = going;
    const more = t.title || (going && t.settings); // settings of what is past stand in the panel: there may be many names
    const name = more ? `${t.mode} · ${more}` : t.mode;
    if (o.label.textContent !== name) {
      o.label.textContent = name;
      o.room = 0; // measured when it is placed
    }
    o.link.className = `outline outline-${modeNumber(t.mode)}${going ? " going" : ""}`;
    o.link.setAttribute("aria-label", `${[t.mode, t.title || t.settings, frequency(t.hz, t.on_air)].filter(Boolean).join(", ")}, ${going ? `since ${clock(new Date(t.begin_utc))}` : "ended"}`);
    this.place();
  }

  private outline(t: Transmission, going: boolean): Outline {
    const label = h("span.outline-label");
    const link = h("a.outline", { // a link: Enter opens it, and the space bar is left to pause
      href: `/text/${t.transmission}`,
      draggable: "false",
      onclick: (e: MouseEvent) => {
        if (e.ctrlKey || e.metaKey || e.shiftKey) return; // in a tab of its own
        e.preventDefault();
        this.choose(o.t, link);
      },
    }, label);
    const o: Outline = { t, link, label, going, room: 0, high: 0 };
    this.outlines.set(t.transmission, o);
    (going ? this.present : this.past).append(link);
    return o;
  }

  /** select marks the one that is shown beside. */
  select(id: number) {
    for (const [n, o] of this.outlines) n === id ? o.link.setAttribute("aria-current", "true") : o.link.removeAttribute("aria-current");
  }

  /** remove takes a transmission away. */
  remove(id: number) {
    this.outlines.get(id)?.link.remove();
    this.outlines.delete(id);
  }

  /** inOrder are the outlines by frequency. */
  inOrder(): Outline[] {
    return [...this.outlines.values()].sort((a, b) => a.t.hz - b.t.hz);
  }

  /** place puts all where they belong, in frequency and time, when either scale or an outline changes; once a second besides. */
  place() {
    const history = this.history();
    if (!history) return;
    this.anchor = history.count;
    const oldest = (this.head || history.count) - this.height - below;
    while (this.lines.length && this.lines[0].number < oldest) this.lines.shift()!.element.remove();
    for (const l of this.lines) l.element.style.top = `${this.anchor - l.number}px`;
    const all = this.inOrder();
    for (const o of all) o.room ||= o.label.offsetWidth && o.label.offsetWidth + 6; // all before anything moves
    const ends: number[] = []; // of labels, a row each
    for (const o of all) {
      const { t, link, label, going, room } = o;
      const low = this.x(t.low_hz || t.hz), high = this.x(t.high_hz || t.hz);
      const wide = Math.max(least, high - low);
      const left = (low + high - wide) / 2;
      const s = link.style;
      link.hidden = high < 0 || low > this.width;
      s.left = `${left}px`;
      s.width = `${wide}px`;
      if (!going) {
        const end = history.lineAt(+new Date(t.end_utc)), begin = history.lineAt(+new Date(t.begin_utc));
        if (end < oldest) {
          this.remove(t.transmission);
          continue;
        }
        s.top = `${this.anchor - end}px`;
        s.height = `${Math.min(end - begin, this.height + 200)}px`;
        label.style.top = "0";
        label.style.left = `${Math.max(-1, -left - 1)}px`;
        o.high = 0;
        continue;
      }
      s.top = "0";
      if (link.hidden) continue;
      const shift = Math.min(0, this.width - left - room); // at the right edge labels lie to the left
      const at = Math.max(left + shift, 0);
      let row = ends.findIndex((e) => e <= at);
      if (row < 0) row = ends.length < labelRows ? ends.length : labelRows - 1;
      ends[row] = at + room;
      label.style.top = `${row * labelHeight}px`;
      label.style.left = `${at - left - 1}px`;
    }
  }

  /** move moves the marks to where the picture is. */
  move(head: number) {
    this.head = head;
    this.past.style.transform = `translateY(${(head - this.anchor).toFixed(3)}px)`;
    const history = this.history();
    if (!history) return;
    for (const o of this.outlines.values()) {
      if (!o.going) continue;
      const h = Math.round(Math.max(labelHeight, Math.min(head - history.lineAt(+new Date(o.t.begin_utc)), this.height + 4)));
      if (o.high !== h) o.link.style.height = `${(o.high = h)}px`;
    }
  }

  private x(hz: number): number {
    return ((hz - this.range.low) / (this.range.high - this.range.low)) * this.width;
  }
}
