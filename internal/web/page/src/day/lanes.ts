// The day's lanes: 24 hours across, a lane a receiver and frequency, a mark for what was expected or came.
import { modeNumber, step } from "../format.ts";
import { fill, h } from "../html.ts";
import { clock } from "../time.ts";
import { addressOf, bundle, itemsOf, rows, type Day, type Item, type Lane } from "./shape.ts";
import { full, laneName, receiverName, silence } from "./words.ts";

const dayMs = 24 * 3_600_000;
const leastRem = 2.1; // width of the narrowest mark: two figures and its border
const leastTitle = 4.5; // rem: a title that has less room would tell nothing

/** Lanes is the drawing of a day. */
export class Lanes {
  readonly root = h("div.day", { role: "group", "aria-label": "Lanes of the day" });
  private readonly reading = h("p.day-reading.figure", { "aria-hidden": "true" });
  private readonly scroll = h("div.day-scroll");
  private readonly needle = h("div.day-now", { "aria-hidden": "true" });
  private readonly observer = new ResizeObserver(() => this.tracks[0]?.track.clientWidth !== this.laid && this.lay());
  private tracks: { track: HTMLElement; list: HTMLElement; items: Item[]; gaps: { from: number; mark: HTMLElement }[] }[] = [];
  private begin = 0;
  private laid = 0; // width of a track for which the marks were made

  constructor() {
    fill(this.root, this.scroll, this.reading);
    this.scroll.addEventListener("keydown", (e) => this.press(e));
    const tell = (e: Event) => {
      const m = (e.target as Element).closest?.<HTMLElement>(".day-mark, .day-gap");
      if (m) this.reading.textContent = m.ariaLabel;
    };
    for (const kind of ["focusin", "pointerover"]) this.scroll.addEventListener(kind, tell);
    this.scroll.addEventListener("focusin", (e) => {
      const m = (e.target as Element).closest<HTMLElement>("[tabindex]");
      if (m) this.only(m);
    });
  }

  /** show draws a day. */
  show(day: Day) {
    this.focused = this.focusedKey();
    this.begin = +new Date(`${day.date}T00:00:00Z`);
    this.tracks = [];
    const hours = h("div.day-hours", { "aria-hidden": "true" }, h("span.day-name", null, "UTC"), h("div.day-scale.figure", null, Array.from({ length: 24 }, (_, i) => h("span", null, String(i).padStart(2, "0"))), this.needle));
    fill(this.scroll, h("div.day-sheet", null, hours, day.lanes.map((l) => this.lane(l))));
    this.reading.textContent = this.tracks.length ? "What a mark means is told here." : "No receiver has lanes on this day.";
    this.observer.disconnect();
    this.laid = 0;
    if (this.scroll.isConnected) this.lay();
    if (this.tracks.length) this.observer.observe(this.tracks[0].track); // which lays them when they get a width
  }

  /** time moves the needle, and says up to where hatching tells of silence. */
  time(now: number) {
    const at = (now - this.begin) / dayMs;
    const today = at >= 0 && at < 1;
    this.needle.hidden = !today;
    this.scroll.style.setProperty("--now", `${Math.max(0, Math.min(1, at)) * 100}%`);
    this.scroll.classList.toggle("today", today);
    this.needle.dataset.utc = clock(new Date(now));
  }

  /** reveal scrolls to the present, or to the first mark, where hours do not fit. */
  reveal(now: number) {
    const track = this.tracks[0]?.track;
    if (!track) return;
    const first = Math.min(...this.tracks.flatMap((t) => t.items.map((i) => i.from)), this.begin + dayMs);
    const at = now >= this.begin && now < this.begin + dayMs ? now : first;
    this.scroll.scrollLeft = ((at - this.begin) / dayMs) * track.clientWidth - (this.scroll.clientWidth - track.offsetLeft) * 0.6;
  }

  close() {
    this.observer.disconnect();
  }

  private lane(l: Lane): HTMLElement {
    const gaps = (l.gaps ?? []).map((g) => {
      const e = h("span.day-gap", { role: "img", "aria-label": `${receiverName(l)}, ${silence(g)}`, tabindex: -1 });
      this.place(e, +new Date(g.from_utc), +new Date(g.to_utc));
      return { from: +new Date(g.from_utc), mark: e };
    });
    const heard = (l.heard ?? []).map(([from, to]) => {
      const e = h("span.day-heard");
      this.place(e, +new Date(from), +new Date(to));
      return e;
    });
    const list = h("ol.day-marks");
    const track = h("div.day-track", null, heard, h("span.day-later"), list);
    this.tracks.push({ track, list, items: itemsOf(l), gaps });
    return h("section.day-lane", null, h("h2.day-name", null, h("span", null, receiverName(l)), " ", h("span.figure", null, laneName(l))), track);
  }

  private mark(i: Item): HTMLElement {
    const mode = i.came?.mode ?? i.expected?.mode ?? most(i.several!.map((c) => c.mode));
    const arrives = i.came?.state === "arriving";
    const q = arrives ? undefined : i.came?.quality ?? (i.expected?.transmission ? i.expected.quality : undefined);
    const a = h("a.day-mark", { href: addressOf(i), "aria-label": full(i), tabindex: -1, "data-key": i.key });
    a.classList.add(`mode-line-${modeNumber(mode)}`, i.expected ? `expected-${i.expected.outcome}` : i.several ? "several" : "unexpected");
    if (q !== undefined) a.classList.add("filled", `fill-${step(q)}`);
    if (arrives) a.classList.add("arriving");
    const figure = arrives ? "…" : q !== undefined ? (q * 100).toFixed(0) : i.several ? `${i.several.length}×` : i.expected?.outcome === "missed" ? "×" : "";
    const title = i.expected?.title || i.came?.title;
    fill(a, h("span.day-box.figure", { "data-figure": figure }), title && h("span.day-title", null, title));
    return a;
  }

  private place(e: HTMLElement, from: number, to: number) {
    const share = (t: number) => Math.max(0, Math.min(1, (t - this.begin) / dayMs));
    e.style.left = `${share(from) * 100}%`;
    e.style.width = `${(share(to) - share(from)) * 100}%`;
  }

  /** lay makes the marks, as wide as a lane is now: each has a row, and its title what room there is until the next mark. The mark
   * that has the focus keeps it, if it is still there. */
  private lay() {
    const focused = this.focused ?? this.focusedKey();
    this.focused = undefined;
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    this.laid = this.tracks[0]?.track.clientWidth ?? 0;
    for (const { track, list, items: all, gaps } of this.tracks) {
      const width = Math.max(1, track.clientWidth);
      const least = leastRem * rem + 2;
      const items = bundle(all, (least / width) * dayMs);
      const x = (t: number) => ((Math.max(this.begin, t) - this.begin) / dayMs) * width;
      const left = items.map((i) => Math.min(x(i.from), width - least)); // the last ones of a day are not cut off
      const row = rows(items, (least / width) * dayMs);
      const marks = items.map((i, n) => {
        const box = Math.max(least, Math.min(x(i.to), width) - left[n]);
        const next = left.find((_, k) => k > n && row[k] === row[n]) ?? width;
        const room = next - left[n] - box - rem / 2;
        const m = this.mark(i);
        m.style.left = `${left[n]}px`;
        m.style.setProperty("--row", String(row[n]));
        m.style.setProperty("--box", `${box - 2}px`);
        m.style.setProperty("--room", room < leastTitle * rem ? "0" : `${room}px`);
        return { from: i.from, mark: m };
      });
      fill(list, [...gaps, ...marks].sort((a, b) => a.from - b.from).map((m) => h("li", null, m.mark)));
      track.style.setProperty("--rows", String(Math.max(1, ...row.map((r) => r + 1))));
    }
    const marks = this.marks();
    const again = marks.find((m) => focused && m.dataset.key === focused);
    if (again) again.focus({ preventScroll: true });
    else if (marks.length) this.only(marks[0]);
  }

  private focused: string | undefined; // key of the mark that had the focus before a day was drawn again
  private focusedKey = () => (this.scroll.contains(document.activeElement) ? (document.activeElement as HTMLElement).dataset.key : undefined);

  private marks = () => [...this.scroll.querySelectorAll<HTMLElement>(".day-marks [tabindex]")];

  /** only makes a mark the one that Tab comes to. */
  private only(mark: HTMLElement) {
    this.marks().forEach((m) => (m.tabIndex = m === mark ? 0 : -1));
  }

  /** press moves the focus: left and right in a lane, up and down to the nearest mark of the next one. */
  private press(e: KeyboardEvent) {
    const from = (e.target as Element).closest<HTMLElement>(".day-marks [tabindex]");
    if (!from || e.ctrlKey || e.metaKey || e.altKey) return;
    const lanes = this.tracks.map((t) => [...t.track.querySelectorAll<HTMLElement>(".day-marks [tabindex]")].sort((a, b) => a.offsetLeft - b.offsetLeft));
    const lane = lanes.findIndex((l) => l.includes(from));
    const at = lanes[lane].indexOf(from);
    const near = (marks: HTMLElement[]) => marks.reduce((best, m) => (Math.abs(m.offsetLeft - from.offsetLeft) < Math.abs(best.offsetLeft - from.offsetLeft) ? m : best));
    let to: HTMLElement | undefined;
    if (e.key === "ArrowLeft") to = lanes[lane][at - 1];
    else if (e.key === "ArrowRight") to = lanes[lane][at + 1];
    else if (e.key === "Home") to = lanes[lane][0];
    else if (e.key === "End") to = lanes[lane].at(-1);
    else if (e.key === "ArrowUp" || e.key === "ArrowDown") {
      const others = (e.key === "ArrowUp" ? lanes.slice(0, lane).reverse() : lanes.slice(lane + 1)).filter((l) => l.length);
      to = others.length ? near(others[0]) : undefined;
    } else return;
    e.preventDefault(); // at the end of a lane a day is not left by accident
    to?.focus();
    to?.scrollIntoView({ block: "nearest", inline: "nearest" });
  }
}

/** most is what is there most often. */
const most = (all: string[]) => [...new Set(all)].map((x) => [all.filter((y) => y === x).length, x] as const).sort((a, b) => b[0] - a[0])[0][1];
