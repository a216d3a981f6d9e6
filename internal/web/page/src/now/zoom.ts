// Zoom in frequency: which part of a receiver's band is shown, by wheel, fingers and drag.
import type { Range } from "./scale.ts";

const most = 64; // times that the whole is zoomed: some bins are left then
const byWheel = 0.0016; // a pixel of the wheel: one notch, 120, is a fifth
const leastDrag = 5; // pixels; a hand is not quite still when it clicks
const sameGesture = 350; // ms without a wheel event after which another gesture begins

/** Zoom keeps a range inside a whole. */
export class Zoom {
  whole: Range = { low: 0, high: 1 };
  range: Range = { low: 0, high: 1 };

  constructor(private changed: () => void) {}

  /** set sets another whole, as of a receiver that was tuned. */
  set(whole: Range) {
    this.whole = whole;
    this.range = { ...whole };
    this.changed();
  }

  /** by zooms by a factor around a frequency. */
  by(factor: number, hz = (this.range.low + this.range.high) / 2) {
    const full = this.whole.high - this.whole.low;
    const wide = Math.max(full / most, Math.min(full, (this.range.high - this.range.low) / factor));
    const share = (hz - this.range.low) / (this.range.high - this.range.low);
    this.to(hz - share * wide, wide);
  }

  /** pan moves by so many Hz. */
  pan(hz: number) {
    this.to(this.range.low + hz, this.range.high - this.range.low);
  }

  /** reveal moves so that a frequency is shown. */
  reveal(hz: number) {
    if (hz < this.range.low || hz > this.range.high) this.pan(hz - (this.range.low + this.range.high) / 2);
  }

  get zoomed() {
    return this.range.high - this.range.low < this.whole.high - this.whole.low;
  }

  private to(low: number, wide: number) {
    low = Math.max(this.whole.low, Math.min(low, this.whole.high - wide));
    this.range = { low, high: low + wide };
    this.changed();
  }
}

let lastWheel = { at: 0, zooms: false };

/** gestures has a zoom follow the wheel, two fingers and drags on an element. A turn of the wheel that began outside, or that
 * cannot zoom out further, scrolls the page as ever. */
export function gestures(e: HTMLElement, zoom: Zoom) {
  const hzAt = (clientX: number) => {
    const r = e.getBoundingClientRect();
    return zoom.range.low + ((clientX - r.left) / r.width) * (zoom.range.high - zoom.range.low);
  };
  const perPixel = () => (zoom.range.high - zoom.range.low) / e.getBoundingClientRect().width;
  e.addEventListener("wheel", (w) => {
    const goesOn = w.timeStamp - lastWheel.at < sameGesture;
    const can = w.ctrlKey || Math.abs(w.deltaX) > Math.abs(w.deltaY) || w.deltaY < 0 || zoom.zoomed;
    const zooms = goesOn ? lastWheel.zooms : can;
    lastWheel = { at: w.timeStamp, zooms };
    if (!zooms) return;
    w.preventDefault();
    if (Math.abs(w.deltaX) > Math.abs(w.deltaY) || w.shiftKey) zoom.pan((w.deltaX || w.deltaY) * perPixel());
    else zoom.by(Math.exp(-w.deltaY * byWheel * (w.ctrlKey ? 4 : 1) * (w.deltaMode ? 30 : 1)), hzAt(w.clientX)); // a pinch on a pad turns less
  }, { passive: false });

  const fingers = new Map<number, number>(); // x by pointer
  let dragged = 0; // pixels
  e.addEventListener("pointerdown", (p) => {
    dragged = 0;
    if (p.button === 0) fingers.set(p.pointerId, p.clientX);
  });
  e.addEventListener("pointermove", (p) => {
    const was = fingers.get(p.pointerId);
    if (was === undefined) return;
    const other = [...fingers].find(([id]) => id !== p.pointerId)?.[1];
    if (other !== undefined) {
      const middle = hzAt((p.clientX + other) / 2);
      zoom.by(Math.max(10, Math.abs(p.clientX - other)) / Math.max(10, Math.abs(was - other)), middle);
    } else if (zoom.zoomed) zoom.pan((was - p.clientX) * perPixel());
    dragged += Math.abs(p.clientX - was);
    fingers.set(p.pointerId, p.clientX);
  });
  e.addEventListener("click", (c) => { // which ends a drag, and is none of what lies below
    if (zoom.zoomed && dragged > leastDrag) {
      c.preventDefault();
      c.stopPropagation();
    }
    dragged = 0;
  }, { capture: true });
  for (const end of ["pointerup", "pointercancel", "pointerleave"] as const) e.addEventListener(end, (p) => fingers.delete(p.pointerId));
}

document.addEventListener("wheel", (w) => { // of the page, which goes on although the pointer comes over a spectrogram
  if (!w.defaultPrevented) lastWheel = { at: w.timeStamp, zooms: false };
}, { passive: true });
