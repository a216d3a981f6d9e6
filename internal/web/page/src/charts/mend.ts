// Putting a chart right by hand: what is dragged is bent on the screen at once, and drawn by the station as soon as it can.
import { Refused } from "../api.ts";
import type { Changes, Chart, ChartDetail } from "../types.ts";
import { notice } from "../view.ts";
import { bitmap, Latest } from "./bitmap.ts";
import { Draft, none, same } from "./draft.ts";
import { bend, leanBy, ppm, sizeOf, wrap, type Received } from "./geometry.ts";
import { MendPanel } from "./mendpanel.ts";
import type { Layer } from "./plate.ts";
import { histogram, preview, save, type Part } from "./requests.ts";
import type { Tool } from "./spot.ts";
import type { Stage } from "./stage.ts";

interface Drawn { image: ImageBitmap; changes: Changes; part: Part; whole: boolean; restored: boolean }
interface Wanted { changes: Changes; part: Part; whole: boolean; restored: boolean }

const mostPixels = 8e6; // of a preview: the station draws no larger ones
const rests = 200; // ms without a move of the camera, after which the part that it shows is asked for

/** unsaved are the changes that were left last without being saved: whoever comes back to the chart finds them. */
let unsaved: { chart: number; changes: Changes } | null = null;

export class Mend {
  readonly draft: Draft;
  readonly panel: MendPanel;
  tool: Tool = "move";
  private base: Drawn; // all of the chart
  private patch: Drawn | null = null; // the part on the screen, if it is drawn finer
  private restored = false; // whether the preview is to be as what is saved
  private drag: { x: number; y: number; from: Changes } | null = null;
  private gone = new AbortController();
  private timer = 0;
  private kept = false; // the draft has been saved
  private slow: AbortController | null = null; // of a preview with restoration, which takes long
  private work = new Latest<Wanted>((w) => this.load(w));

  constructor(private d: ChartDetail, private r: Received, picture: ImageBitmap, private stage: Stage, may: boolean, choose: (t: Tool) => void, private saved: (c: Chart) => void) {
    this.draft = new Draft(d.changes, () => this.changed());
    this.base = { image: picture, changes: d.changes, part: { x: 0, y: 0, width: d.width, height: d.height, scale: 1 }, whole: true, restored: true };
    this.panel = new MendPanel(this.draft, r, may, {
      choose, save: () => this.save(),
      finished: () => {
        this.restored = true;
        this.ask();
      },
    });
    histogram(d.chart, this.gone.signal).then((g) => this.panel.levels.counts(g.counts), () => {});
    if (unsaved?.chart === d.chart) {
      this.draft.put({ ...none, ...unsaved.changes });
    }
    unsaved = null;
    this.show();
    this.ask();
  }

  // A drag on the chart.
  begin(x: number, y: number): boolean {
    if (this.tool === "move") return false;
    this.drag = { x, y, from: this.draft.now };
    return true;
  }

  move(x: number) {
    if (this.drag) this.pull(x - this.drag.x, this.drag.y, this.drag.from, true);
  }

  end() {
    this.drag = null;
    this.draft.rest();
  }

  /** nudge moves what the tool moves by pixels to the right: for the lean, at the bottom. */
  nudge(dx: number) {
    this.pull(dx, sizeOf(this.r, this.draft.now).height, this.draft.now, false);
  }

  private pull(dx: number, row: number, from: Changes, on: boolean) {
    const size = sizeOf(this.r, from);
    if (this.tool === "start") this.draft.put({ shift: Math.round(wrap((from.shift ?? 0) - dx, size.width) * 10) / 10 }, on);
    else if (this.tool === "lean") this.draft.put({ clock_ppm: Math.round((ppm(this.r, from) + leanBy(dx, row, size)) * 100) / 100 }, on);
  }

  /** moved is called when the camera has moved. */
  moved() {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.ask(), rests);
  }

  private changed() {
    this.restored = false;
    this.slow?.abort();
    this.show();
    this.ask();
  }

  /** show shows what there is, bent to what is wanted. */
  private show() {
    const now = this.draft.now;
    const size = sizeOf(this.r, now);
    const layer = (p: Drawn): Layer => ({ image: p.image, ...(p.whole ? { x: 0, y: 0, ...size } : p.part), bend: bend(this.r, p.changes, now, size.width) });
    this.stage.show(size, this.patch ? [layer(this.base), layer(this.patch)] : [layer(this.base)]);
    const top = this.patch ?? this.base;
    this.panel.show(same(top.changes, now) ? (top.restored ? "restored" : "plain") : "bent", !same(now, this.d.changes));
  }

  private ask() {
    const size = sizeOf(this.r, this.draft.now);
    const cam = this.stage.camera;
    const scale = Math.min(1, Math.max(0.05, cam.scale));
    const from = cam.at(0, 0), to = cam.at(cam.screen.width, cam.screen.height);
    const x = Math.max(0, Math.floor(from.x)), y = Math.max(0, Math.floor(from.y));
    const part = { x, y, width: Math.min(size.width, Math.ceil(to.x)) - x, height: Math.min(size.height, Math.ceil(to.y)) - y };
    if (part.width < 1 || part.height < 1) return;
    const whole = this.restored || part.width * part.height > 0.5 * size.width * size.height;
    const want: Wanted = { changes: this.draft.now, part: { ...(whole ? { x: 0, y: 0, ...size } : part), scale: +Math.min(whole && this.restored ? 1 : scale, Math.sqrt(mostPixels / (size.width * size.height))).toFixed(3) }, whole, restored: this.restored };
    const has = whole ? this.base : this.patch;
    if (has && has.restored === want.restored && same(has.changes, want.changes) && JSON.stringify(has.part) === JSON.stringify(want.part)) return;
    this.work.ask(want);
  }

  private async load(w: Wanted) {
    this.slow = w.restored ? new AbortController() : null;
    const signal = this.slow ? AbortSignal.any([this.gone.signal, this.slow.signal]) : this.gone.signal;
    if (w.restored) this.panel.busy(true);
    try {
      const { image } = await bitmap(preview(this.d.chart, w.changes, w.part, w.restored), signal);
      if (this.gone.signal.aborted) return image.close();
      const drawn = { image, ...w };
      if (w.whole) {
        this.base.image.close();
        this.base = drawn;
      }
      this.patch?.image.close();
      this.patch = w.whole ? null : drawn;
      this.panel.fault("");
      this.show();
    } catch (e) {
      if (!signal.aborted) this.panel.fault((e as Error).message);
    }
    this.slow = null;
  }

  private async save() {
    this.panel.busy(true);
    try {
      const c = await save(this.d.chart, this.draft.now);
      this.kept = true;
      notice(`Saved as a new version, chart ${c.chart}; the earlier ones are kept.`);
      this.saved(c);
    } catch (e) {
      this.show();
      this.panel.fault(e instanceof Refused ? e.message : String(e));
    }
  }

  close() {
    if (!this.kept && !same(this.draft.now, this.d.changes)) unsaved = { chart: this.d.chart, changes: this.draft.now };
    clearTimeout(this.timer);
    this.work.drop();
    this.gone.abort();
    this.base.image.close();
    this.patch?.image.close();
  }
}
