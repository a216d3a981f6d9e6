// The canvas on which a chart is shown, with its camera.
import { h } from "../html.ts";
import { Camera, type Size } from "./camera.ts";
import { hand, type Grip } from "./hand.ts";
import { colours, draw, stripWidth, type Layer, type Scene } from "./plate.ts";

/** Watcher is told what happens on a stage. */
export interface Watcher extends Grip {
  moved(): void;
  /** sized is called when the canvas has another size. */
  sized(): void;
  over(at: { x: number; y: number } | null): void;
}

const nothing: Size = { width: 1810, height: 1200 };

export class Stage {
  readonly canvas = h("canvas", { class: "chart-plate", tabindex: 0, role: "application", "aria-roledescription": "chart" });
  readonly camera: Camera;
  readonly scene: Scene;
  private frame = 0;
  private dpr = devicePixelRatio;
  private colour = colours(document.documentElement);
  private sizes = new ResizeObserver(() => this.resize());
  private dark = matchMedia("(prefers-color-scheme: dark)");
  private recolour = () => {
    this.colour = colours(document.documentElement);
    this.redraw();
  };

  constructor(private watcher: Watcher) {
    this.camera = new Camera({ width: 1, height: 1 }, nothing, stripWidth * this.dpr);
    this.scene = { camera: this.camera, size: nothing, layers: [], other: null, quality: [], night: false };
    hand(this.canvas, this.camera, watcher, () => {
      this.redraw();
      watcher.moved();
    }, watcher.over);
    this.sizes.observe(this.canvas);
    this.dark.addEventListener("change", this.recolour);
  }

  /** show puts a chart of a size onto the stage. */
  show(size: Size, layers: Layer[]) {
    this.scene.layers = layers;
    if (size.width !== this.scene.size.width || size.height !== this.scene.size.height) {
      this.scene.size = size;
      this.camera.resize(this.camera.screen, size);
    }
    this.redraw();
  }

  /** redraw draws at the next frame. */
  redraw() {
    this.frame ||= requestAnimationFrame(() => {
      this.frame = 0;
      draw(this.canvas.getContext("2d", { alpha: false })!, this.scene, this.colour, this.dpr);
    });
  }

  private resize() {
    this.dpr = devicePixelRatio;
    const screen = { width: Math.max(1, Math.round(this.canvas.clientWidth * this.dpr)), height: Math.max(1, Math.round(this.canvas.clientHeight * this.dpr)) };
    if (screen.width === this.canvas.width && screen.height === this.canvas.height) return;
    this.canvas.width = screen.width;
    this.canvas.height = screen.height;
    this.camera.resize(screen, this.scene.size);
    this.redraw();
    this.watcher.sized();
  }

  close() {
    cancelAnimationFrame(this.frame);
    this.sizes.disconnect();
    this.dark.removeEventListener("change", this.recolour);
    this.scene.layers = [];
    this.scene.other = null;
    this.canvas.width = this.canvas.height = 1; // gives its memory back
  }
}
