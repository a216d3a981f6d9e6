// The row of buttons above a chart.
import { h } from "../html.ts";
import { link } from "./filters.ts";
import { mends, type Tool } from "./spot.ts";
import type { Viewer } from "./viewer.ts";

export class Toolbar {
  readonly root: HTMLElement;
  private zoom = h("output.figure", { "aria-label": "Pixels of the screen for one of the chart" });
  private tools: [HTMLButtonElement, (t: Tool) => boolean][] = [];
  private before: HTMLButtonElement;
  private after: HTMLButtonElement;
  private ink: HTMLButtonElement;
  private load = h("a", { class: "button", download: true }, "PNG");
  private up = h("a", { class: "button" }, "All of this title");

  constructor(private v: Viewer) {
    const button = (text: string, label: string, run: () => void) => h("button", { type: "button", title: label, "aria-label": /\w/.test(text) ? null : label, onclick: run }, text);
    const tool = (text: string, t: Tool, is: (now: Tool) => boolean, label: string) => {
      const b = h("button", { type: "button", title: label, onclick: () => v.use(v.spot.tool === t || (t === "move" && mends(v.spot.tool)) ? "look" : t) }, text);
      this.tools.push([b, is]);
      return b;
    };
    this.before = button("‹ Earlier", "Earlier chart of this title ([)", () => v.turn(v.d.previous, "earlier"));
    this.after = button("Later ›", "Later chart of this title (])", () => v.turn(v.d.following, "later"));
    this.ink = h("button", { type: "button", title: "White ink on black, for a dark room; what is kept and printed stays as it was sent (n)", onclick: () => v.toggleNight() }, "Night ink");
    const group = (name: string, ...of: Node[]) => h("div.chart-group", { role: "group", "aria-label": name }, ...of);
    this.root = h("div.chart-tools", { role: "toolbar", "aria-label": "Chart" },
      group("Title", this.before, this.after, this.up),
      group("Zoom", button("−", "Smaller (-)", () => v.camera((c) => c.zoom(1 / 1.5))), this.zoom, button("+", "Larger (+)", () => v.camera((c) => c.zoom(1.5))),
        button("Width", "As wide as the screen (0)", () => v.camera((c) => c.fitWidth())), button("All", "The whole chart (a)", () => v.camera((c) => c.fitAll())),
        button("1:1", "Pixel by pixel (z)", () => v.camera((c) => c.zoom(1 / c.scale)))),
      group("Tools", tool("Compare", "compare", (t) => t === "compare", "Compare with what came (c)"), tool("Film", "film", (t) => t === "film", "The charts of this title as a film (m)"),
        tool("Put right", "move", mends, "Put right by hand (h)"), this.ink),
      group("Take along", this.load, button("Print", "Print", () => print())));
  }

  /** show shows what is in use. */
  show() {
    const { v } = this;
    for (const [b, is] of this.tools) b.setAttribute("aria-pressed", String(is(v.spot.tool)));
    this.ink.setAttribute("aria-pressed", String(v.night));
    this.before.disabled = !v.d.previous;
    this.after.disabled = !v.d.following;
    this.load.href = v.download();
    this.load.setAttribute("aria-label", "Download the chart as PNG");
    this.up.href = link({ title: v.d.title });
    this.zoomed();
  }

  zoomed() {
    this.zoom.textContent = `${(100 * this.v.stage.camera.scale).toFixed(0)} %`;
  }
}
