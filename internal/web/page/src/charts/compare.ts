// Two pictures of a chart side by side, with an edge that moves.
import { h } from "../html.ts";
import { bitmap } from "./bitmap.ts";
import type { Camera, Size } from "./camera.ts";
import { straight } from "./plate.ts";
import type { Stage } from "./stage.ts";

const reach = 24; // pixels of the screen about the edge that take hold of it

export class Compare {
  readonly root: HTMLElement;
  private gone = new AbortController();
  private image: ImageBitmap | null = null;
  private held = false;
  private state = h("p.soft", { role: "status" });
  private slider = h("input", { type: "range", min: 0, max: 100, value: 50, step: 1, "aria-label": "Edge between the two", oninput: () => this.move(Number(this.slider.value) / 100) });

  constructor(private stage: Stage, url: string, size: Size, left: string, right: string) {
    this.root = h("section.chart-compare", { "aria-label": "Compare" }, h("h2", null, "Compare"),
      h("p.chart-sides", null, h("span", null, `◧ ${left}`), h("span", null, `${right} ◨`)), this.slider, this.state);
    bitmap(url, this.gone.signal).then(({ image }) => {
      this.image = image;
      stage.scene.other = { layer: { image, x: 0, y: 0, ...size, bend: straight }, edge: 0.5 };
      stage.redraw();
    }, (e) => {
      if (!this.gone.signal.aborted) this.state.textContent = (e as Error).message;
    });
  }

  private move(edge: number) {
    if (!this.stage.scene.other) return;
    this.stage.scene.other.edge = Math.max(0, Math.min(1, edge));
    this.slider.value = String(Math.round(edge * 100));
    this.stage.redraw();
  }

  /** nudge moves the edge by a share of the screen. */
  nudge(by: number) {
    this.move((this.stage.scene.other?.edge ?? 0.5) + by);
  }

  private onScreen = (x: number, cam: Camera = this.stage.camera) => x * cam.scale + cam.x;

  begin(x: number): boolean {
    const edge = this.stage.scene.other?.edge;
    this.held = edge !== undefined && Math.abs(this.onScreen(x) - edge * this.stage.camera.screen.width) < reach * devicePixelRatio;
    return this.held;
  }

  drag(x: number) {
    if (this.held) this.move(this.onScreen(x) / this.stage.camera.screen.width);
  }

  close() {
    this.gone.abort();
    this.stage.scene.other = null;
    this.image?.close();
    this.stage.redraw();
  }
}
