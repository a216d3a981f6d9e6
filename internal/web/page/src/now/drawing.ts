// A chart that grows line by line: raw as it comes, then the restored one that was saved.
import { h, fill } from "../html.ts";

const mostWide = 900; // pixels that are kept of a line: what comes in is looked at small, and opened when it is complete
const mostHigh = 1600; // pixels: at this width no chart is longer
const another = 20; // lines: one that lies further back is of another chart
const begun = 64; // pixels high at first
const patience = 3_000; // ms until what is missing is asked for again

/** Saved is a chart that was saved. */
export interface Saved { chart: number; title?: string; quality?: number }

/** Drawing shows a transmission's chart. */
export class Drawing {
  private canvas = h("canvas", { role: "img", "aria-label": "The chart as it comes in" });
  readonly root = h("div.drawing", null, this.canvas);
  private on = this.canvas.getContext("2d", { alpha: false })!;
  private by = 1; // pixels here by pixels sent
  private width = 0; // pixels sent
  private image: ImageData | null = null;
  private sums = new Float32Array(0); // of the lines that make a row here
  private summed = 0;
  private row = -1;
  private next = 0; // line that is expected
  private asked = 0;
  private coming = false; // lines came since it was complete last: a transmission may have several charts

  constructor(private id: number) {}

  /** join draws what came so far. */
  async join() {
    this.asked = Date.now();
    let picture: ImageBitmap;
    try {
      const answer = await fetch(`/api/transmissions/${this.id}/drawing`); // an <img> would be the one that the page showed before
      if (!answer.ok) return; // nothing came yet, or it is over; the lines and the saved chart tell
      picture = await createImageBitmap(await answer.blob());
    } catch {
      return; // the connection is lost; lines that are missed later are asked for again
    }
    if (!this.root.classList.contains("restored")) {
      this.size(picture.width);
      const high = picture.height * this.by;
      this.grow(high);
      this.on.drawImage(picture, 0, 0, this.canvas.width, high);
      this.next = Math.max(this.next, picture.height);
      this.shown(this.next * this.by);
    }
    picture.close();
  }

  /** begin begins the next chart. */
  private begin() {
    this.width = this.next = 0;
    this.root.classList.remove("restored");
    this.canvas.setAttribute("aria-label", "The chart as it comes in");
    fill(this.root, this.canvas);
  }

  private size(width: number) {
    if (this.width === width) return;
    this.width = width;
    this.by = Math.min(1, mostWide / width);
    this.canvas.width = Math.round(width * this.by);
    this.canvas.height = begun;
    this.blank(0);
    this.image = this.on.createImageData(this.canvas.width, 1);
    this.sums = new Float32Array(this.canvas.width);
    this.row = -1;
  }

  /** grow makes room for rows; a canvas that is sized anew is empty, so that what was on it is copied. */
  private grow(high: number) {
    if (high <= this.canvas.height) return;
    const to = Math.min(mostHigh, Math.max(Math.ceil(high), 2 * this.canvas.height));
    const was = document.createElement("canvas");
    was.width = this.canvas.width;
    was.height = this.canvas.height;
    was.getContext("2d")!.drawImage(this.canvas, 0, 0);
    this.canvas.height = to;
    this.blank(0);
    this.on.drawImage(was, 0, 0);
  }

  private blank(from: number) {
    this.on.fillStyle = "#fff";
    this.on.fillRect(0, from, this.canvas.width, this.canvas.height);
  }

  /** line draws a line of the chart. */
  line(row: number, pixels: Uint8Array) {
    if (row < this.next - another) this.begin();
    this.coming = true;
    this.size(pixels.length);
    if (row > this.next && Date.now() - this.asked > patience) void this.join();
    this.next = row + 1;
    const y = Math.floor(row * this.by);
    if (y >= mostHigh) return;
    if (y !== this.row) {
      this.row = y;
      this.sums.fill(0);
      this.summed = 0;
    }
    const step = pixels.length / this.sums.length;
    for (let x = 0; x < this.sums.length; x++) {
      const from = Math.floor(x * step), to = Math.max(from + 1, Math.floor((x + 1) * step));
      let sum = 0;
      for (let i = from; i < to; i++) sum += pixels[i];
      this.sums[x] += sum / (to - from);
    }
    this.summed++;
    const d = this.image!.data;
    for (let x = 0; x < this.sums.length; x++) {
      d[4 * x] = d[4 * x + 1] = d[4 * x + 2] = this.sums[x] / this.summed;
      d[4 * x + 3] = 255;
    }
    this.grow(y + 1);
    this.on.putImageData(this.image!, 0, y);
    this.shown(y + 1);
  }

  /** shown sizes the box, in which the last lines lie at the lower edge. */
  private shown(high: number) {
    this.root.style.setProperty("--wide", String(this.canvas.width));
    this.root.style.setProperty("--high", String(Math.max(1, Math.ceil(high))));
    this.root.style.setProperty("--room", String(this.canvas.height));
    this.root.classList.add("begun");
  }

  /** complete says that the chart is being drawn and restored. */
  complete() {
    this.coming = false;
    this.canvas.setAttribute("aria-label", "The chart as it came in; it is being restored");
  }

  /** saved puts the restored chart in the place of the raw one. */
  async saved(c: Saved) {
    const name = c.title || "The chart";
    const picture = h("img", { alt: `${name}, restored`, src: `/api/charts/${c.chart}/thumbnail`, decoding: "async" });
    try {
      await picture.decode();
    } catch {
      return; // the raw one stays; the link leads to the chart
    }
    if (this.coming) return; // the next chart has begun
    this.canvas.width = this.canvas.height = 0; // its memory
    fill(this.root, h("a", { href: `/chart/${c.chart}`, title: "Open the chart" }, picture));
    this.root.classList.add("restored");
  }
}
