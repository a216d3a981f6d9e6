// Where there is no WebGL2, lines are drawn on a canvas that is a ring, and parts of it are copied.
import { palette } from "./palette.ts";
import type { Look, Painter } from "./painter.ts";

const apart = 6; // steps that levels move until all is drawn again: 3 dB

export class PlainPainter implements Painter {
  private ring: HTMLCanvasElement;
  private on: CanvasRenderingContext2D;
  private kept: Uint8Array;
  private image: ImageData;
  private black = 0;
  private white = 255;

  constructor(private canvas: HTMLCanvasElement, private bins: number, private lines: number) {
    this.ring = document.createElement("canvas");
    this.ring.width = bins;
    this.ring.height = lines;
    this.on = this.ring.getContext("2d", { alpha: false })!;
    this.image = this.on.createImageData(bins, 1);
    this.kept = new Uint8Array(bins * lines);
  }

  line(number: number, bins: Uint8Array) {
    const at = number % this.lines;
    this.kept.set(bins, at * this.bins);
    this.paint(at);
  }

  private paint(at: number) {
    const to = this.image.data;
    const by = 255 / (this.white - this.black);
    for (let i = 0; i < this.bins; i++) {
      const v = Math.max(0, Math.min(255, Math.round((this.kept[at * this.bins + i] - this.black) * by)));
      for (let c = 0; c < 4; c++) to[4 * i + c] = palette[4 * v + c];
    }
    this.on.putImageData(this.image, 0, at);
  }

  draw(l: Look) {
    if (Math.abs(l.black - this.black) + Math.abs(l.white - this.white) > apart) {
      this.black = l.black;
      this.white = l.white;
      for (let i = 0; i < this.lines; i++) this.paint(i);
    }
    const to = this.canvas.getContext("2d", { alpha: false })!;
    const { width, height } = this.canvas;
    to.fillStyle = `rgb(${palette.slice(0, 3).join()})`;
    to.fillRect(0, 0, width, height);
    to.save();
    to.scale(1, -1); // lines of the ring run upwards, as those of the picture
    const oldest = Math.max(0, l.count - this.lines, Math.floor(l.head - height / l.line) - 1);
    for (let from = oldest; from < l.count; ) {
      const at = from % this.lines;
      const n = Math.min(l.count - from, this.lines - at);
      to.drawImage(this.ring, l.first, at, l.end - l.first, n, 0, -(l.head - from) * l.line, width, n * l.line);
      from += n;
    }
    to.restore();
  }

  close() {}
}
