// The frequency scale above a spectrogram: the frame of a chart, filled and empty in turns from tick to tick.
import { fill, h, svg } from "../html.ts";

/** Range is a range of frequencies, Hz. */
export interface Range { low: number; high: number }

const leastApart = 74; // pixels between two figures, which are 60 wide at most

/** stepFor is the distance in Hz of ticks: 1, 2 or 5 of a power of ten. */
function stepFor(hzPerPixel: number): number {
  const least = leastApart * hzPerPixel;
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((f) => f * power).find((s) => s >= least)!;
}

/** digitsFor is how many digits after the point tell steps apart. */
export const digitsFor = (step: number) => Math.max(0, -Math.floor(Math.log10(step) + 1e-9));

/** kilohertz is a frequency of a scale: kHz on the air, Hz in the audio. */
export const onScale = (hz: number, onAir: boolean, step: number) => (onAir ? (hz / 1000).toFixed(digitsFor(step / 1000)) : hz.toFixed(digitsFor(step)));

/** Scale shows frequencies; it is for eyes only, since what is found is named with its frequency. */
export class Scale {
  private bars = svg("svg.frame-bars", { preserveAspectRatio: "none", height: 5, width: "100%" });
  private figures = h("div.frame-figures");
  readonly root = h("div.frequencies", { "aria-hidden": "true", title: "Turn the wheel here to zoom" }, this.figures, this.bars);

  /** show shows a range over so many pixels. */
  show(r: Range, onAir: boolean, width: number) {
    if (width < 10 || r.high <= r.low) return;
    const step = stepFor((r.high - r.low) / width);
    const figures: HTMLElement[] = [], bars: SVGElement[] = [];
    this.bars.setAttribute("viewBox", `0 0 ${width} 5`);
    const x = (hz: number) => ((hz - r.low) / (r.high - r.low)) * width;
    for (let n = Math.floor(r.low / step); n * step < r.high; n++) {
      const from = Math.max(0, x(n * step)), to = Math.min(width, x((n + 1) * step));
      if (n % 2) bars.push(svg("rect", { x: from, y: 0, width: to - from, height: 5 }));
      if (n * step < r.low || x(n * step) > width - 20) continue;
      const f = h("span", null, onScale(n * step, onAir, step));
      f.style.left = `${x(n * step)}px`;
      figures.push(f);
    }
    fill(this.bars, bars);
    fill(this.figures, figures, h("span.unit", null, onAir ? "kHz" : "Hz"));
  }
}
