// The level that a receiver gives, and whether it is too strong.
import { h } from "../html.ts";
import type { Level } from "../types.ts";

const lowest = -80; // dB over full scale, left end of the scale
const overloadShown = 3_000; // ms, lest a word flickers

/** Meter shows a level. */
export class Meter {
  private bar = h("span.meter-bar");
  private peak = h("span.meter-peak");
  private scale = h("span.meter-scale", { role: "meter", "aria-valuemin": lowest, "aria-valuemax": 0, "aria-label": "Level" }, this.bar, this.peak);
  private figure = h("span.figure.meter-figure");
  readonly word = h("strong.overload", { role: "status" }); // stands where there is room
  readonly root = h("span.meter", null, this.scale, this.figure);
  private overloadUntil = 0;

  show(l?: Level) {
    const share = (db: number) => Math.max(0, Math.min(1, 1 - db / lowest)) * 100;
    this.scale.hidden = this.figure.hidden = !l;
    if (!l) return;
    if (l.clipped > 0) this.overloadUntil = Date.now() + overloadShown;
    const over = Date.now() < this.overloadUntil;
    this.bar.style.width = `${share(l.rms_db)}%`;
    this.peak.style.left = `${share(l.peak_db)}%`;
    this.figure.textContent = `${l.rms_db.toFixed(0)} dB`;
    this.root.title = `mean ${l.rms_db.toFixed(1)} dB, peak ${l.peak_db.toFixed(1)} dB over full scale${over ? "; too strong, turn the gain down" : ""}`;
    this.scale.setAttribute("aria-valuenow", l.rms_db.toFixed(0));
    this.scale.setAttribute("aria-valuetext", `${l.rms_db.toFixed(0)} dB, peak ${l.peak_db.toFixed(0)} dB`);
    this.root.classList.toggle("over", over);
    const word = over ? "overload" : "";
    if (this.word.textContent !== word) this.word.textContent = word;
  }
}
