// A painter draws lines of a spectrum on a canvas, the newest at the top.
import { GLPainter } from "./paintgl.ts";
import { PlainPainter } from "./paint2d.ts";

/** Look is what of it is drawn, and how. */
export interface Look {
  first: number; // bin at the left edge, and one past the last at the right
  end: number;
  head: number; // lines above the upper edge
  count: number; // lines that there are
  line: number; // pixels of the canvas that a line is high
  black: number; // steps of the darkest and the lightest shade
  white: number;
}

export interface Painter {
  line(number: number, bins: Uint8Array): void;
  draw(look: Look): void;
  close(): void;
}

/** painter makes one: by WebGL2, or plainly where there is none. */
export function painter(canvas: HTMLCanvasElement, bins: number, lines: number, plain = false): Painter {
  return (!plain && GLPainter.make(canvas, bins, lines)) || new PlainPainter(canvas, bins, lines);
}
