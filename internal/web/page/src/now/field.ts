// A running spectrogram with its scales and marks. Time runs down: the newest line lies at the frequency scale, where one reads,
// and outlines of what goes on stand still there with their names, while what is past sinks away.
import { h } from "../html.ts";
import { seconds } from "../time.ts";
import type { Receiver, Transmission } from "../types.ts";
import { Glide } from "./glide.ts";
import { History, mostLines, type Speed } from "./history.ts";
import { decibels, Levels } from "./levels.ts";
import { Marks } from "./marks.ts";
import { painter, type Painter } from "./painter.ts";
import { onScale, Scale } from "./scale.ts";
import { gestures, Zoom } from "./zoom.ts";

const leastMove = 1 / 8; // pixel of the screen; what moves less is not drawn again
const placed = 1_000; // ms between two looks at all marks

const still = matchMedia("(prefers-reduced-motion: reduce)");

/** Field is the spectrogram of a receiver. */
export class Field {
  private canvas = h("canvas", { "aria-hidden": "true" });
  private cross = h("div.cross", { "aria-hidden": "true", hidden: true }, h("span"));
  private marks: Marks;
  private scale = new Scale();
  private plate = h("div.field");
  readonly root = h("div.plate", null, this.scale.root, this.plate);
  readonly levels = new Levels();
  readonly zoom = new Zoom(() => this.laidOut());
  private history: History | null = null;
  private painter: Painter | null = null;
  private glide = new Glide(300, true);
  private onAir = false;
  private head = -1; // drawn last
  private top = 0; // line up to which the canvas was drawn last
  private dirty = true;
  private placedAt = 0;
  private pointer: { x: number; y: number } | null = null;
  private seen = true;
  private watcher: IntersectionObserver;
  private sizer: ResizeObserver;
  paused = false;

  constructor(private speed: Speed, private plain: boolean, choose: (t: Transmission, from: HTMLElement) => void) {
    this.marks = new Marks(() => this.history, choose);
    this.plate.append(h("div.picture", null, this.canvas), this.marks.root, this.cross);
    gestures(this.plate, this.zoom);
    gestures(this.scale.root, this.zoom);
    this.plate.addEventListener("pointermove", (p) => {
      const r = this.plate.getBoundingClientRect();
      this.pointer = p.pointerType === "touch" ? null : { x: p.clientX - r.left, y: p.clientY - r.top };
      this.read();
    });
    this.plate.addEventListener("pointerleave", () => {
      this.pointer = null;
      this.read();
    });
    this.watcher = new IntersectionObserver((e) => (this.seen = e[e.length - 1].isIntersecting));
    this.watcher.observe(this.plate);
    this.sizer = new ResizeObserver(() => this.laidOut());
    this.sizer.observe(this.plate);
  }

  /** tune takes what is known of the receiver; rows of another band are forgotten. */
  tune(r: Receiver) {
    const w = this.zoom.whole;
    if (w.low === r.low_hz && w.high === r.high_hz && this.onAir === r.on_air) return;
    this.onAir = r.on_air;
    this.forget();
    this.zoom.set({ low: r.low_hz, high: Math.max(r.high_hz, r.low_hz + 1) });
  }

  private forget() {
    this.history = null;
    this.plate.classList.remove("running");
    this.levels.forget();
    this.marks.again();
    this.head = -1;
  }

  /** row takes a row of the spectrum. */
  row(utc: number, bins: Uint8Array) {
    if (this.history?.bins !== bins.length) this.begin(bins.length);
    this.levels.hear(bins);
    this.history!.row(utc, bins);
  }

  private begin(bins: number) {
    this.forget();
    if (this.painter) this.replaceCanvas();
    this.plate.classList.add("running");
    this.painter = painter(this.canvas, bins, mostLines, this.plain);
    this.glide = new Glide(this.speed * 100, !still.matches);
    this.history = new History(bins, this.speed, (l) => {
      this.painter!.line(l.number, l.bins);
      this.glide.came(performance.now());
      this.marks.line(l);
    });
  }

  /** replaceCanvas takes a new one, since a canvas keeps its context. */
  private replaceCanvas() {
    this.painter!.close();
    const c = h("canvas", { "aria-hidden": "true" });
    c.width = this.canvas.width;
    c.height = this.canvas.height;
    c.style.height = this.canvas.style.height;
    this.canvas.replaceWith(c);
    this.canvas = c;
  }

  /** run sets how fast it runs. */
  run(speed: Speed) {
    this.speed = speed;
    this.marks.again();
    this.history?.again(speed);
    this.glide = new Glide(speed * 100, !still.matches); // after the lines that were made at once
    this.placedAt = 0;
    this.dirty = true;
  }

  /** latest is the time of the newest row, ms; 0: there is none. */
  get latest() { return this.history?.latest ?? 0; }

  show(t: Transmission, going: boolean) { this.marks.show(t, going); }
  select(id: number) { this.marks.select(id); }
  inOrder() { return this.marks.inOrder(); }

  /** changed has all drawn again, as when levels were set. */
  changed() { this.dirty = true; }

  private laidOut() {
    const r = this.plate.getBoundingClientRect();
    const d = devicePixelRatio;
    const width = Math.round(r.width * d), height = Math.round((r.height + 1) * d); // a line more, see draw
    if (!r.width || !r.height) return;
    this.canvas.style.height = `${height / d}px`;
    if (this.canvas.width !== width) this.canvas.width = width;
    if (this.canvas.height !== height) this.canvas.height = height;
    this.plate.classList.toggle("zoomed", this.zoom.zoomed);
    this.marks.range = this.zoom.range;
    this.marks.width = r.width;
    this.marks.height = r.height;
    this.marks.place();
    this.marks.move(this.head);
    this.scale.show(this.zoom.range, this.onAir, r.width);
    this.dirty = true;
    this.read();
    this.draw(this.head); // at once: a canvas that was sized is empty
  }

  /** frame draws, if there is something to see that moved; now is that of the frame, in ms. */
  frame(now: number) {
    if (!this.history || !this.seen) return;
    const head = this.paused ? Math.max(0, this.head) : this.glide.move(this.history.count, now);
    if (now - this.placedAt > placed) {
      this.placedAt = now;
      this.marks.place();
      this.dirty = true;
    }
    if (!this.dirty && Math.abs(head - this.head) * devicePixelRatio < leastMove) return;
    this.draw(head);
  }

  /** draw draws whole lines, and has the browser's compositor move them by a part of a line: the painter works when a line comes, and
   * not for every frame. */
  private draw(head: number) {
    if (!this.history || !this.painter || head < 0) return;
    const { range, whole } = this.zoom;
    const bin = (hz: number) => ((hz - whole.low) / (whole.high - whole.low)) * this.history!.bins;
    const top = Math.ceil(head);
    if (this.dirty || top !== this.top) {
      this.painter.draw({ first: bin(range.low), end: bin(range.high), head: top, count: this.history.count, line: devicePixelRatio, black: this.levels.black, white: this.levels.white });
      this.top = top;
    }
    this.canvas.style.transform = `translateY(${(head - top).toFixed(3)}px)`;
    this.marks.move(head);
    this.head = head;
    this.dirty = false;
    if (this.pointer) this.read();
  }

  /** read shows frequency, time and level where the pointer is. */
  private read() {
    const p = this.pointer;
    this.cross.hidden = !p || !this.history;
    if (!p || !this.history) return;
    const { range, whole } = this.zoom;
    const hz = range.low + (p.x / this.marks.width) * (range.high - range.low);
    const line = this.head - p.y;
    const utc = this.history.timeAt(line);
    const level = this.history.levelAt(line, ((hz - whole.low) / (whole.high - whole.low)) * this.history.bins);
    const says = [
      onScale(hz, this.onAir, Math.max(1, (range.high - range.low) / this.marks.width)) + (this.onAir ? " kHz" : " Hz"),
      !isNaN(utc) && seconds(new Date(utc)),
      !isNaN(level) && `${decibels(level).toFixed(0)} dB`,
    ];
    this.cross.style.transform = `translateX(${Math.round(p.x)}px)`;
    this.cross.classList.toggle("left", p.x > this.marks.width - 240); // the reading is some 230 wide
    this.cross.firstElementChild!.textContent = says.filter(Boolean).join("  ");
  }

  close() {
    this.watcher.disconnect();
    this.sizer.disconnect();
    this.painter?.close();
  }
}
