// The viewer of a chart: its stage, its tools and what is known of it.
import { fill, h } from "../html.ts";
import { day, moment, seconds, time } from "../time.ts";
import type { ChartDetail } from "../types.ts";
import { go, notice, type Key, type Place, type View } from "../view.ts";
import { bitmap, type Picture } from "./bitmap.ts";
import { nameOf } from "./card.ts";
import { Compare } from "./compare.ts";
import { Film } from "./film.ts";
import { received } from "./geometry.ts";
import { legend, pixelInWords, scale } from "./legend.ts";
import { Mend } from "./mend.ts";
import { straight } from "./plate.ts";
import { detail, download, original, picture } from "./requests.ts";
import { Said } from "./said.ts";
import { link, mends, read, type Spot, type Tool } from "./spot.ts";
import { Stage } from "./stage.ts";
import { Toolbar } from "./toolbar.ts";
import { versions } from "./versions.ts";
import { viewerKeys } from "./viewerkeys.ts";

const writes = 300; // ms without a move, after which the address says what is on the screen
const ink = "ionoscribe-night-ink"; // in the browser's store

export class Viewer implements View {
  title = "Chart";
  readonly root = h("section.chart-view");
  readonly stage: Stage;
  said: Said;
  film: Film | null = null;
  compare: Compare | null = null;
  mend: Mend | null = null;
  private bar: Toolbar;
  private heading = h("h1");
  private tool = h("div.chart-tool");
  private side = h("div.chart-known");
  private legend: HTMLElement = h("dl");
  private readout = h("p.chart-readout");
  private print = h("img", { alt: "" });
  private printed = h("figcaption");
  private picture: Picture | null = null;
  private gone = new AbortController();
  private timer = 0;
  private wrote = ""; // the address as it was taken or written last
  private shown = 0; // chart of the film
  private loading = false; // another chart

  constructor(public d: ChartDetail, public spot: Spot, private may: boolean) {
    this.stage = new Stage({
      begin: (x, y) => this.mend?.begin(x, y) ?? this.compare?.begin(x) ?? false,
      move: (x) => {
        this.mend?.move(x);
        this.compare?.drag(x);
      },
      end: () => this.mend?.end(),
      moved: () => this.moved(),
      sized: () => {
        this.root.style.setProperty("--head", `${document.getElementById("head")?.offsetHeight ?? 0}px`);
        this.bar.zoomed();
      },
      over: (at) => this.over(at),
    });
    this.stage.scene.night = localStorage.getItem(ink) === "on";
    this.bar = new Toolbar(this);
    this.said = this.saying();
    const aside = h("aside.chart-side", { "aria-label": "About the chart" }, this.tool, this.side);
    fill(this.root, this.heading, this.bar.root, h("div.chart-table", null, h("div.chart-stage", null, this.stage.canvas, this.readout), aside), h("figure.chart-print", null, this.print, this.printed));
    addEventListener("keydown", this.undoKey);
    this.put();
  }

  get keys(): Key[] {
    return viewerKeys(this);
  }

  get night() {
    return this.stage.scene.night;
  }

  /** change takes another address: another chart, tool or place on the same one. */
  change(p: Place): boolean {
    const s = read(p);
    if (s.chart !== this.d.chart || this.loading) this.load(s);
    else if (link(s) !== this.wrote) this.take(s);
    return true;
  }

  private async load(s: Spot) {
    clearTimeout(this.timer);
    this.gone.abort();
    const { signal } = (this.gone = new AbortController());
    this.loading = true;
    try {
      const d = await detail(s.chart, signal);
      this.d = d;
      this.spot = s;
      this.put();
    } catch (e) {
      if (!signal.aborted) notice((e as Error).message, true);
    }
    if (!signal.aborted) this.loading = false;
  }

  /** put shows the chart that has come. */
  private put() {
    const d = this.d;
    this.said = this.saying();
    this.name();
    fill(this.side, this.said.root, this.legend, scale(d.line_quality), versions(d, this.spot, this.may, () => this.load(this.spot)));
    this.endTool();
    this.bar.show();
    this.take(this.spot);
    this.draw();
  }

  /** name shows what goes by the chart's title, which may change. */
  private name() {
    const d = this.d, t = new Date(d.begin_utc);
    this.title = `${nameOf(d.title)}, ${moment(t)}`;
    document.title = `${this.title} – Ionoscribe`;
    fill(this.heading, nameOf(d.title), " ", time(d.begin_utc));
    this.stage.canvas.setAttribute("aria-label", `${this.title}, received by ${d.receiver}. Arrows move it, plus and minus zoom.`);
    const known = legend(d);
    this.legend.replaceWith(known);
    this.legend = known;
    fill(this.printed, h("strong", null, nameOf(d.title)), `: ${day(t)} ${seconds(t)} to ${seconds(new Date(d.end_utc))}, ${d.receiver}. `, "Received by radio, not for navigation: check official sources.");
  }

  private saying = () => new Said(this.d, this.may, () => this.name());

  private async draw() {
    const signal = this.gone.signal, chart = this.d.chart;
    this.stage.canvas.classList.add("waiting"); // what is on it is the chart before
    try {
      const p = await bitmap(picture(chart), signal);
      if (chart !== this.d.chart || signal.aborted) return p.image.close();
      this.picture?.image.close();
      this.picture = p;
      URL.revokeObjectURL(this.print.src);
      this.print.src = URL.createObjectURL(p.blob);
      this.whole();
      this.beginTool();
      for (const next of [this.d.following, this.d.previous]) if (next) fetch(picture(next), { priority: "low", signal } as RequestInit).then((r) => r.blob()).catch(() => {}); // so that it is there at once
    } catch (e) {
      if (signal.aborted) return;
      this.readout.textContent = (e as Error).message;
      this.stage.scene.layers = [];
      this.stage.redraw();
    }
    this.stage.canvas.classList.remove("waiting");
  }

  /** whole shows the chart as it is. */
  private whole() {
    if (!this.picture) return;
    const size = { width: this.d.width, height: this.d.height };
    this.stage.scene.quality = this.d.line_quality;
    this.stage.show(size, [{ image: this.picture.image, x: 0, y: 0, ...size, bend: straight }]);
    this.place();
    this.bar.zoomed();
  }

  /** take takes a tool and a place on the screen. */
  private take(s: Spot) {
    const was = this.spot;
    this.spot = s;
    this.wrote = link(s);
    const cam = this.stage.camera;
    if (s.zoom) this.place();
    else if (!cam.fitted) cam.fitWidth();
    const other = was.tool !== s.tool || was.with !== s.with;
    if (this.mend && mends(s.tool)) this.choose(s.tool);
    else if (other && this.picture) {
      this.endTool();
      this.whole();
      this.beginTool();
    }
    this.bar.show();
    this.stage.redraw();
  }

  /** place moves the camera to what the address says. */
  private place() {
    const { zoom, at } = this.spot, cam = this.stage.camera;
    if (!zoom || cam.screen.width < 2) return;
    cam.zoom(zoom / cam.scale);
    if (at) cam.look(at.x, at.y);
    this.stage.redraw();
  }

  private async beginTool() {
    const { d, spot } = this;
    const size = { width: d.width, height: d.height };
    if (spot.tool === "compare") {
      const v = d.version_list.find((x) => x.chart === spot.with);
      this.compare = v ? new Compare(this.stage, picture(v.chart), size, `version of ${moment(new Date(v.made_utc))}`, "this version") : new Compare(this.stage, original(d.chart), size, "not restored", "restored");
      fill(this.tool, this.compare.root);
    } else if (spot.tool === "film") {
      this.stage.scene.quality = [];
      this.film = new Film(d.title, d.chart, this.stage, (c) => (this.shown = c.chart));
      fill(this.tool, this.film.root);
    } else if (mends(spot.tool)) {
      if (!d.can_redraw) {
        fill(this.tool, h("p.soft", null, "The video of this chart is not kept any more, so it cannot be drawn again."));
        return;
      }
      const first = d.version_list[0];
      const base = first && first.chart !== d.chart ? await detail(first.chart, this.gone.signal).catch(() => d) : d;
      const copy = await createImageBitmap(this.picture!.image);
      if (d !== this.d || !mends(this.spot.tool) || this.mend) return copy.close();
      this.mend = new Mend(d, received(base), copy, this.stage, this.may, (t) => this.use(t), (c) => go(`/chart/${c.chart}`));
      this.stage.scene.quality = [];
      fill(this.tool, this.mend.panel.root);
      this.choose(this.spot.tool);
    }
  }

  private choose(t: Tool) {
    if (!this.mend) return;
    this.mend.tool = t;
    this.mend.panel.choose(t);
    this.stage.canvas.dataset.tool = t;
  }

  private endTool() {
    this.compare?.close();
    this.film?.close();
    this.mend?.close();
    this.compare = this.film = this.mend = null;
    delete this.stage.canvas.dataset.tool;
    fill(this.tool);
  }

  /** use moves to a tool, or back to looking if it is in use already. */
  use(t: Tool) {
    const tool = this.spot.tool === t && !mends(t) ? "look" : t;
    const chart = this.film && this.shown && tool !== "film" ? this.shown : this.spot.chart;
    go(link({ ...this.spot, chart, tool, with: undefined }), mends(t) && mends(this.spot.tool));
  }

  /** turn moves to the chart of the same title before or after. */
  turn(to: number | undefined, which: string) {
    if (to) go(link({ ...this.spot, chart: to, with: undefined }));
    else notice(`There is no ${which} chart of this title.`);
  }

  /** camera moves it and shows that. */
  camera(move: (c: Stage["camera"]) => void) {
    move(this.stage.camera);
    this.stage.redraw();
    this.moved();
  }

  toggleNight() {
    this.stage.scene.night = !this.night;
    localStorage.setItem(ink, this.night ? "on" : "off");
    if (this.night) notice("Night ink: white on black, for a dark room. What is kept and printed stays as it was sent.");
    this.bar.show();
    this.stage.redraw();
  }

  private moved() {
    this.mend?.moved();
    this.bar.zoomed();
    const cam = this.stage.camera;
    this.spot = { ...this.spot, zoom: cam.fitted ? undefined : cam.scale, at: cam.fitted ? undefined : cam.centre() };
    clearTimeout(this.timer);
    if (this.loading) return;
    this.timer = window.setTimeout(() => {
      this.wrote = link(this.spot);
      if (this.wrote !== location.pathname + location.search) go(this.wrote, true);
    }, writes);
  }

  private over(at: { x: number; y: number } | null) {
    this.readout.textContent = at && !this.film && !this.mend ? pixelInWords(this.d, at) : "";
  }

  /** download is the address of the picture as a file. */
  download = () => download(this.d.chart);

  private undoKey = (e: KeyboardEvent) => {
    if (!this.mend || !(e.ctrlKey || e.metaKey) || e.key.toLowerCase() !== "z" || /^(INPUT|TEXTAREA)$/.test((e.target as Element).tagName)) return;
    e.preventDefault();
    if (e.shiftKey) this.mend.draft.redo();
    else this.mend.draft.undo();
  };

  close() {
    clearTimeout(this.timer);
    removeEventListener("keydown", this.undoKey);
    this.gone.abort();
    this.endTool();
    this.stage.close();
    this.picture?.image.close();
    URL.revokeObjectURL(this.print.src);
  }
}
