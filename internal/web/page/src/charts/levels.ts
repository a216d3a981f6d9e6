// Black and white of a chart, set on the histogram of its brightness.
import { fill, h, svg } from "../html.ts";

const high = 48; // units of the drawing
const least = 0.02; // between black and white

/** Levels shows a histogram with a handle for black and one for white; put is told what they are moved to, on: the move goes on. */
export class Levels {
  readonly root: HTMLElement;
  private bars = svg("svg", { viewBox: `0 0 256 ${high}`, preserveAspectRatio: "none", "aria-hidden": "true" });
  private handles: HTMLElement[];
  private fields: HTMLInputElement[];
  private values = [0, 1];

  constructor(private put: (black: number, white: number, on: boolean) => void, rest: () => void) {
    const names = ["Black", "White"];
    const box = h("div.chart-histogram", null, this.bars);
    this.handles = names.map((name, n) => {
      const handle = h("div.chart-handle", { role: "slider", tabindex: 0, "aria-label": `${name} at`, "aria-valuemin": 0, "aria-valuemax": 100 });
      const at = (p: PointerEvent) => {
        const r = box.getBoundingClientRect();
        return (p.clientX - r.left) / r.width;
      };
      handle.addEventListener("pointerdown", (p) => {
        handle.setPointerCapture(p.pointerId);
        p.preventDefault();
        handle.focus();
      });
      handle.addEventListener("pointermove", (p) => handle.hasPointerCapture(p.pointerId) && this.move(n, at(p), true));
      handle.addEventListener("pointerup", rest);
      handle.addEventListener("keydown", (k) => {
        const step = ({ ArrowLeft: -0.01, ArrowDown: -0.01, ArrowRight: 0.01, ArrowUp: 0.01, PageDown: -0.1, PageUp: 0.1 } as Record<string, number>)[k.key];
        if (!step) return;
        k.preventDefault();
        this.move(n, this.values[n] + step, false);
      });
      box.append(handle);
      return handle;
    });
    this.fields = names.map((_, n) => h("input", { type: "number", min: 0, max: 100, step: 1, onchange: (e: Event) => this.move(n, Number((e.target as HTMLInputElement).value) / 100, false) }));
    this.root = h("fieldset.chart-levels", null, h("legend", null, "Levels"), box,
      h("div.chart-row", null, names.map((name, n) => h("label", null, `${name}, %`, this.fields[n]))));
  }

  /** counts shows how often each brightness is; the square root, since paper is far more than ink. */
  counts(counts: number[]) {
    const top = Math.max(1, ...counts);
    fill(this.bars, svg("path", { d: counts.map((n, i) => `M${i} ${high}v${-(high * Math.sqrt(n / top)).toFixed(1)}h1V${high}`).join("") }));
  }

  show(black: number, white: number) {
    this.values = [black, white];
    this.values.forEach((v, n) => {
      this.handles[n].style.left = `${v * 100}%`;
      this.handles[n].setAttribute("aria-valuenow", (v * 100).toFixed(0));
      if (document.activeElement !== this.fields[n]) this.fields[n].value = (v * 100).toFixed(0);
    });
  }

  private move(n: number, v: number, on: boolean) {
    if (isNaN(v)) return;
    const [b, w] = this.values;
    const to = n ? [b, Math.min(1, Math.max(b + least, v))] : [Math.max(0, Math.min(w - least, v)), w];
    this.put(Math.round(to[0] * 1000) / 1000, Math.round(to[1] * 1000) / 1000, on);
  }
}
