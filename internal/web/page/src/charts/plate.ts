// The drawing of a chart on the screen.
import { step } from "../format.ts";
import type { Camera, Size } from "./camera.ts";

/** Bend is how a picture is bent before the station has drawn it: it rolls and leans by pixels to the left, at the top and for
 * each row, and may swap black and white. */
export interface Bend { shift: number; lean: number; invert: boolean }
export const straight: Bend = { shift: 0, lean: 0, invert: false };

/** Layer is a picture with its place in the pixels of the chart. */
export interface Layer { image: ImageBitmap; x: number; y: number; width: number; height: number; bend: Bend }

/** Scene is all that is drawn. */
export interface Scene {
  camera: Camera;
  size: Size; // of the chart
  layers: Layer[]; // the last one on top
  /** other is shown to the left of edge, a share of the screen's width. */
  other: { layer: Layer; edge: number } | null;
  quality: number[]; // of the lines, 0 to 255
  night: boolean; // white ink
}

/** stripWidth is the width of the strip that shows the quality of the lines, in CSS pixels. */
export const stripWidth = 16;

/** colours are those of the page that the drawing needs. */
export interface Colours { quality: string[]; table: string; sheet: string; line: string; ink: string }
export function colours(e: Element): Colours {
  const s = getComputedStyle(e);
  const of = (name: string) => s.getPropertyValue(name).trim();
  return { quality: [0, 1, 2, 3, 4, 5].map((n) => of(`--q${n}`)), table: of("--fill"), sheet: of("--sheet"), line: of("--line"), ink: of("--ink") };
}

/** draw draws a scene; dpr is pixels of the screen for one of CSS. */
export function draw(c: CanvasRenderingContext2D, s: Scene, colour: Colours, dpr: number) {
  const { width, height } = c.canvas;
  c.setTransform(1, 0, 0, 1, 0, 0);
  c.fillStyle = colour.table;
  c.fillRect(0, 0, width, height);
  c.save();
  for (const l of s.layers) paint(c, s, l);
  c.restore();
  if (s.other) {
    const x = Math.round(s.other.edge * width);
    c.save();
    c.beginPath();
    c.rect(0, 0, x, height);
    c.clip();
    paint(c, s, s.other.layer);
    c.restore();
    edge(c, x, colour, dpr);
  }
  strip(c, s, colour, dpr);
}

/** paint draws a layer into the rectangle of the chart, beyond whose edges it comes in again on the other side. */
function paint(c: CanvasRenderingContext2D, s: Scene, l: Layer) {
  const { scale, x, y } = s.camera;
  const { shift, lean, invert } = l.bend;
  const w = s.size.width;
  if (!l.image.width) return; // it has been let go
  c.save();
  c.setTransform(scale, 0, 0, scale, x, y);
  c.beginPath();
  c.rect(l.x, l.y, l.width, l.height);
  c.clip();
  const pixel = (scale * l.width) / l.image.width; // of the screen, for one of the layer's picture
  c.imageSmoothingEnabled = pixel < 1;
  c.imageSmoothingQuality = pixel < 0.5 ? "high" : "medium";
  c.transform(1, 0, -lean, 1, -shift, 0);
  // The copies to the left and right that reach into the rectangle, whose rows are one further up and down.
  const far = [shift + lean * l.y, shift + lean * (l.y + l.height)];
  for (let n = Math.floor(Math.min(...far) / w); n <= Math.ceil(Math.max(...far) / w); n++) {
    if (n && l.width < w) continue; // a part has no neighbours
    c.drawImage(l.image, l.x + n * w, l.y - n, l.width, l.height);
  }
  if (invert !== s.night) {
    c.setTransform(scale, 0, 0, scale, x, y);
    c.globalCompositeOperation = "difference";
    c.fillStyle = "#fff";
    c.fillRect(l.x, l.y, l.width, l.height);
  }
  c.restore();
}

/** edge is the line between two pictures that are compared. */
function edge(c: CanvasRenderingContext2D, x: number, colour: Colours, dpr: number) {
  const { height } = c.canvas;
  c.fillStyle = colour.sheet;
  c.fillRect(x - 2 * dpr, 0, 4 * dpr, height);
  c.fillStyle = colour.ink;
  c.fillRect(x - dpr / 2, 0, dpr, height);
  c.beginPath();
  c.arc(x, height / 2, 9 * dpr, 0, 2 * Math.PI);
  c.fillStyle = colour.sheet;
  c.fill();
  c.lineWidth = dpr;
  c.strokeStyle = colour.ink;
  c.stroke();
}

/** strip shows the quality of the lines beside the chart: the poorer, the wider and, on the scale of the page, the darker. */
function strip(c: CanvasRenderingContext2D, s: Scene, colour: Colours, dpr: number) {
  const width = stripWidth * dpr;
  c.fillStyle = colour.sheet;
  c.fillRect(0, 0, width, c.canvas.height);
  const { scale, y } = s.camera;
  const rows = s.quality.length;
  for (let py = Math.max(0, Math.floor(y)); py < c.canvas.height && rows; py++) {
    const from = Math.max(0, Math.floor((py - y) / scale));
    const to = Math.max(from + 1, Math.floor((py + 1 - y) / scale));
    if (from >= rows) break;
    let least = 255; // a poor line is seen even among many
    for (let r = from; r < to && r < rows; r++) least = Math.min(least, s.quality[r]);
    const q = step(least / 255);
    c.fillStyle = colour.quality[q];
    const w = (width - 2 * dpr) * (1 - 0.14 * q);
    c.fillRect(width - dpr - w, py, w, 1);
  }
  c.fillStyle = colour.line;
  c.fillRect(width - dpr, 0, dpr, c.canvas.height);
}
