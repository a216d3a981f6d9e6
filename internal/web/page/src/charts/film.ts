// The charts of a title as a film, the oldest first.
import { h } from "../html.ts";
import { clock, day } from "../time.ts";
import type { Chart } from "../types.ts";
import { bitmap } from "./bitmap.ts";
import { straight } from "./plate.ts";
import { list, picture } from "./requests.ts";
import type { Stage } from "./stage.ts";

const most = 120; // charts: a month of four a day
const ahead = 4; // pictures that are loaded before they are shown
const behind = 4; // and kept after that
const speeds = [0.5, 1, 2, 4, 8]; // charts a second

export class Film {
  readonly root: HTMLElement;
  private charts: Chart[] = [];
  private at = 0;
  private playing = false;
  private speed = 2;
  private loaded = new Map<number, Promise<ImageBitmap>>();
  private gone = new AbortController();
  private timer = 0;
  private turn = 0;
  private play = h("button.primary", { type: "button", onclick: () => this.toggle() }, "Play");
  private slider = h("input", { type: "range", min: 0, value: 0, "aria-label": "Chart of the film", oninput: () => this.stopAt(Number(this.slider.value)) });
  private state = h("p", null, "The film is being looked up.");
  private when = h("p.chart-when", null);

  constructor(title: string, private from: number, private stage: Stage, private shown: (c: Chart) => void) {
    const speed = h("select", { onchange: () => (this.speed = Number(speed.value)) }, speeds.map((s) => h("option", { value: s, selected: s === this.speed }, `${s}`)));
    this.root = h("section.chart-film", { "aria-label": "Film" }, h("h2", null, "Film"), this.state, this.when, this.slider,
      h("div.chart-row", null,
        h("button", { type: "button", onclick: () => this.step(-1), "aria-label": "One chart back" }, "‹"), this.play,
        h("button", { type: "button", onclick: () => this.step(1), "aria-label": "One chart on" }, "›"),
        h("label.inline", null, "Charts a second", speed)));
    this.begin(title);
  }

  private async begin(title: string) {
    try {
      const got = await list({ title: title === "" ? [""] : title, limit: most }, this.gone.signal);
      this.charts = got.charts.reverse();
      this.state.textContent = this.charts.length < 2 ? "There is only this chart of the title." : `${got.next ? "The last " : ""}${this.charts.length} charts of this title.`;
      this.slider.max = String(Math.max(0, this.charts.length - 1));
      const here = this.charts.findIndex((c) => c.chart === this.from);
      const still = matchMedia("(prefers-reduced-motion: reduce)").matches || this.charts.length < 2;
      await this.show(still && here >= 0 ? here : 0);
      if (!still) this.toggle();
    } catch (e) {
      if (!this.gone.signal.aborted) this.state.textContent = (e as Error).message;
    }
  }

  /** toggle plays, or stops. */
  toggle() {
    this.playing = !this.playing;
    this.play.textContent = this.playing ? "Stop" : "Play";
    clearTimeout(this.timer);
    if (this.playing) this.run();
  }

  step(n: number) {
    this.stopAt((this.at + n + this.charts.length) % Math.max(1, this.charts.length));
  }

  private stopAt(i: number) {
    if (this.playing) this.toggle();
    this.show(i).catch(() => {});
  }

  /** run shows the next chart when its time has come and it has been loaded. */
  private run() {
    const began = performance.now();
    const next = (this.at + 1) % this.charts.length;
    this.show(next).catch(() => (this.at = next)).then(() => {
      const pause = 1000 / this.speed + (next === this.charts.length - 1 ? 1000 : 0); // the last one stays a while
      if (this.playing && !this.gone.signal.aborted) this.timer = window.setTimeout(() => this.run(), Math.max(0, pause - (performance.now() - began)));
    });
  }

  private async show(i: number) {
    const c = this.charts[i];
    if (!c) return;
    const turn = ++this.turn;
    this.keepNear(i);
    const image = await this.loaded.get(i)!;
    if (turn !== this.turn || this.gone.signal.aborted) return;
    this.at = i;
    const size = { width: c.width, height: c.height };
    this.stage.show(size, [{ image, x: 0, y: 0, ...size, bend: straight }]);
    const t = new Date(c.begin_utc);
    this.when.textContent = `${day(t)} ${clock(t)}, ${i + 1} of ${this.charts.length}`;
    this.slider.value = String(i);
    this.slider.setAttribute("aria-valuetext", this.when.textContent);
    this.shown(c);
  }

  /** keepNear loads the pictures about one of the film, and lets the others go. */
  private keepNear(i: number) {
    const n = this.charts.length;
    for (const [k, p] of this.loaded) {
      const after = (k - i + n) % n;
      if (after > ahead && n - after > behind) {
        this.loaded.delete(k);
        p.then((image) => image.close(), () => {});
      }
    }
    for (let a = 0; a <= Math.min(ahead, n - 1); a++) {
      const k = (i + a) % n;
      if (this.loaded.has(k)) continue;
      const p = bitmap(picture(this.charts[k].chart), this.gone.signal, this.stage.camera.screen.width).then((b) => b.image);
      p.catch(() => this.loaded.delete(k));
      this.loaded.set(k, p);
    }
  }

  close() {
    clearTimeout(this.timer);
    this.playing = false;
    this.gone.abort();
    for (const p of this.loaded.values()) p.then((image) => image.close(), () => {});
  }
}
