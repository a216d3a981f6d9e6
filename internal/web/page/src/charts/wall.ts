// A wall of cards, of which only those near the screen exist.
import { h } from "../html.ts";
import { Rows } from "./rows.ts";

/** Cards is what a wall shows. */
export interface Cards {
  count(): number;
  /** group is the key of an item's group, whose first item has a heading above; "" has none. */
  group(i: number): string;
  heading(i: number): HTMLElement;
  /** card makes a card, which has a link in it. A sketch is shown while the wall moves fast: it asks the station for nothing. */
  card(i: number, sketch: boolean): HTMLElement;
  /** more is called when the end comes near. */
  more(): void;
}

const margin = 600; // CSS px above and below the screen in which rows exist: some turns of the wheel
const settles = 120; // ms without a scroll, after which a wall has come to rest

export class Wall {
  readonly root = h("section.wall", { "aria-label": "Charts" });
  private rows = new Rows(1, 1, 1, () => "");
  private shown = new Map<number, HTMLElement>();
  private sketches = new Set<number>();
  private end = h("div.wall-end");
  private selected = -1;
  private lastTop = 0;
  private frame = 0;
  private rest = 0;
  private width = 0; // of the wall, as it was laid out
  private sizes = new ResizeObserver(() => this.root.clientWidth !== this.width && this.measure());
  private near = new IntersectionObserver((seen) => seen.some((s) => s.isIntersecting) && this.cards.more(), { rootMargin: `${2 * margin}px` });
  private scrolled = () => (this.frame ||= requestAnimationFrame(() => this.draw()));

  constructor(private cards: Cards) {
    this.root.append(this.end);
    this.sizes.observe(this.root);
    this.near.observe(this.end);
    addEventListener("scroll", this.scrolled, { passive: true });
    this.root.addEventListener("focusin", (e) => {
      const card = (e.target as Element).closest<HTMLElement>("[data-item]");
      if (card) this.selected = Number(card.dataset.item);
    });
  }

  /** extend shows items that have come. */
  extend() {
    if (!this.rows.count) this.measure();
    else this.take();
    this.near.unobserve(this.end); // so that it tells again if the end is still near
    this.near.observe(this.end);
  }

  /** renew draws an item again, or all that are shown. */
  renew(item?: number) {
    const row = item === undefined ? -1 : this.rows.of(item);
    for (const r of [...this.shown.keys()]) if ((row < 0 || r === row) && !this.rows.heading[r]) this.replace(r);
  }

  /** item is the one that is selected, or the first on the screen if that is not on it; -1: there is none. */
  item(): number {
    if (!this.rows.count) return -1;
    const row = this.rows.of(Math.max(0, this.selected));
    const { above, height } = this.view();
    const seen = this.selected >= 0 && this.rows.top[row] >= above - this.heightOf(row) && this.rows.top[row] < above + height;
    return seen ? this.selected : this.rows.first[this.rows.at(Math.max(0, above))];
  }

  /** move selects the item some items on. */
  move(step: number) {
    this.select(this.selected < 0 ? this.item() : this.item() + step);
  }

  /** moveRow selects the item a row up or down. */
  moveRow(step: number) {
    this.select(this.selected < 0 ? this.item() : this.rows.beside(this.item(), step));
  }

  /** select gives an item the focus, and brings it onto the screen. */
  select(item: number) {
    if (!this.cards.count()) return;
    item = Math.max(0, Math.min(this.cards.count() - 1, item));
    this.selected = item;
    const row = this.rows.of(item);
    const { above, height } = this.view();
    const top = this.rows.top[row] - (this.rows.heading[row - 1] ? this.heightOf(row - 1) : 0);
    const bottom = this.rows.top[row] + this.heightOf(row);
    if (top < above) scrollBy(0, top - above);
    else if (bottom > above + height) scrollBy(0, bottom - above - height);
    this.draw();
    this.root.querySelector<HTMLElement>(`[data-item="${item}"] a`)?.focus({ preventScroll: true });
  }

  /** show brings an item to the top of the screen. */
  show(item: number) {
    const row = this.rows.of(item);
    const top = this.rows.top[this.rows.heading[row - 1] ? row - 1 : row];
    scrollBy(0, top - this.view().above);
  }

  close() {
    removeEventListener("scroll", this.scrolled);
    cancelAnimationFrame(this.frame);
    clearTimeout(this.rest);
    this.sizes.disconnect();
    this.near.disconnect();
  }

  /** view is the part of the wall that is on the screen, below the page's head. */
  private view() {
    const head = document.getElementById("head")?.offsetHeight ?? 0;
    return { above: head - this.root.getBoundingClientRect().top, height: innerHeight - head };
  }

  private heightOf(row: number) {
    return (row + 1 < this.rows.count ? this.rows.top[row + 1] : this.rows.height) - this.rows.top[row];
  }

  /** measure finds the sizes of a card and a heading, and lays all out anew if they have changed. */
  private measure() {
    if (!this.cards.count() || !this.root.isConnected) return;
    this.width = this.root.clientWidth;
    const style = getComputedStyle(this.root);
    const gap = parseFloat(style.getPropertyValue("--wall-gap")) * parseFloat(getComputedStyle(document.documentElement).fontSize);
    const least = parseFloat(style.getPropertyValue("--card-width")) * parseFloat(getComputedStyle(document.documentElement).fontSize);
    const columns = Math.max(2, Math.floor((this.root.clientWidth + gap) / (least + gap)));
    this.root.style.setProperty("--columns", String(columns));
    const row = h("div.wall-row", null, this.cards.card(0, true));
    const heading = h("div.wall-row", null, this.cards.heading(0));
    this.root.append(row, heading);
    const sizes = [row.offsetHeight + gap, heading.offsetHeight];
    row.remove();
    heading.remove();
    const at = this.rows.count > 1 ? this.item() : -1;
    const had = this.root.contains(document.activeElement);
    this.clear();
    this.rows = new Rows(columns, sizes[0], sizes[1], (i) => this.cards.group(i));
    this.take();
    if (had) this.select(at);
    else if (at > 0) this.show(at);
  }

  private take() {
    const from = this.rows.extend(this.cards.count());
    for (const r of [...this.shown.keys()]) if (r >= from) this.release(r);
    this.root.style.height = `${this.rows.height}px`;
    this.draw();
  }

  private draw() {
    cancelAnimationFrame(this.frame);
    this.frame = 0;
    const { above, height } = this.view();
    const fast = Math.abs(above - this.lastTop) > height;
    this.lastTop = above;
    if (!this.rows.count) return;
    const first = this.rows.at(Math.max(0, above - margin));
    const last = this.rows.at(Math.max(0, above + height + margin));
    for (const r of [...this.shown.keys()]) if (r < first || r > last) this.release(r);
    for (let r = first; r <= last; r++) if (!this.shown.has(r)) this.put(r, fast);
    clearTimeout(this.rest);
    if (this.sketches.size) this.rest = window.setTimeout(() => [...this.sketches].forEach((r) => this.replace(r)), settles);
  }

  private put(r: number, sketch: boolean) {
    const row = h("div.wall-row");
    if (this.rows.heading[r]) row.append(this.cards.heading(this.rows.first[r]));
    else {
      for (let i = this.rows.first[r]; i < this.rows.end(r); i++) {
        const card = this.cards.card(i, sketch);
        card.dataset.item = String(i);
        row.append(card);
      }
      if (sketch) this.sketches.add(r);
    }
    row.style.transform = `translateY(${this.rows.top[r]}px)`;
    this.shown.set(r, row);
    const after = [...this.shown.keys()].filter((k) => k > r).sort((a, b) => a - b)[0]; // the order is that of the screen, for readers
    this.root.insertBefore(row, this.shown.get(after) ?? this.end);
  }

  private replace(r: number) {
    const had = this.shown.get(r)?.contains(document.activeElement);
    this.release(r);
    this.put(r, false);
    if (had) this.root.querySelector<HTMLElement>(`[data-item="${this.selected}"] a`)?.focus({ preventScroll: true });
  }

  private release(r: number) {
    const row = this.shown.get(r);
    row?.querySelectorAll("img").forEach((i) => i.removeAttribute("src")); // what is not here yet is asked for no longer
    row?.remove();
    this.shown.delete(r);
    this.sketches.delete(r);
  }

  private clear() {
    for (const r of [...this.shown.keys()]) this.release(r);
  }
}
