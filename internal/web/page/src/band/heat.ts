// The map as a table: hours across, frequencies down, a cell's colours by mode. It is the drawing and the figures in one.
import { address } from "../api.ts";
import { modeNumber } from "../format.ts";
import { fill, h } from "../html.ts";
import { span } from "../time.ts";
import { rowsOf, share, strength, type BandMap, type Cell, type Row } from "./shape.ts";

/** Shown is what is shown of the map. */
export interface Shown { modes: string[]; receiver: string; from_utc: string; to_utc: string }

const kHz = (hz: number, step: number) => (hz / 1000).toFixed(step < 1000 ? 1 : 0);
const hour = (n: number) => `${String(n).padStart(2, "0")}:00Z`;

/** Heat is the table, and a line that tells of the cell that is looked at. */
export class Heat {
  readonly root = h("div.band");
  private readonly reading = h("p.band-reading.figure", { "aria-hidden": "true" });
  private readonly scroll = h("div.band-scroll");

  constructor() {
    fill(this.root, this.scroll, this.reading);
    for (const kind of ["focusin", "pointerover"]) {
      this.scroll.addEventListener(kind, (e) => {
        const a = (e.target as Element).closest?.<HTMLElement>("a.band-cell");
        if (a) this.reading.textContent = a.ariaLabel;
        if (a && kind === "focusin") this.only(a);
      });
    }
    this.scroll.addEventListener("keydown", (e) => this.press(e));
  }

  /** show draws a map. */
  show(map: BandMap, shown: Shown) {
    const { rows, step } = rowsOf(map, shown.modes);
    const silent = map.heard_hours.map((hours) => hours === 0);
    const hours = Array.from({ length: map.hours }, (_, i) => i);
    const table = h("table.band-map", null,
      h("caption", null, h("span", null, `Hours (UTC) across, frequencies down; a row is ${step < 1000 ? `${step} Hz` : `${step / 1000} kHz`} wide.`)),
      h("thead", null, h("tr", null, h("th", { scope: "col" }, "kHz"), hours.map((i) => h("th.figure", { scope: "col" }, String(i).padStart(2, "0"))))),
      h("tbody", null, rows.map((r) => row(r, step, map, shown, silent))),
      h("tfoot", null, h("tr", null, h("th", { scope: "row" }, "hours listened"), map.heard_hours.map((x) => h("td.figure", null, x >= 9.95 || x === 0 ? x.toFixed(0) : x.toFixed(1))))));
    fill(this.scroll, table);
    this.reading.textContent = rows.length ? "What a cell means is told here." : "";
    const first = this.cells()[0];
    if (first) this.only(first);
  }

  /** focus moves the focus to the cell that Tab comes to. */
  focus() {
    this.cells().find((c) => c.tabIndex === 0)?.focus();
  }

  private cells = () => [...this.scroll.querySelectorAll<HTMLElement>("a.band-cell")];

  private only(cell: HTMLElement) {
    this.cells().forEach((c) => (c.tabIndex = c === cell ? 0 : -1));
  }

  /** press moves the focus to the nearest cell in a direction. */
  private press(e: KeyboardEvent) {
    const from = (e.target as Element).closest<HTMLElement>("a.band-cell");
    const way = ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] } as Record<string, number[]>)[e.key];
    if (!from || !way || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    const at = (c: HTMLElement) => [Number(c.dataset.hour), Number(c.dataset.row)];
    const [x, y] = at(from);
    let best: HTMLElement | null = null;
    let least = Infinity;
    for (const c of this.cells()) {
      const [dx, dy] = [at(c)[0] - x, at(c)[1] - y];
      const [ahead, aside] = way[0] ? [dx * way[0], Math.abs(dy)] : [dy * way[1], Math.abs(dx)];
      const far = ahead + 1000 * aside * (way[0] ? 1 : 0) + (way[0] ? 0 : aside / 100 + ahead); // across: in the row alone
      if (ahead > 0 && (!way[0] || !aside) && far < least) [best, least] = [c, far];
    }
    best?.focus();
    best?.scrollIntoView({ block: "nearest", inline: "nearest" });
  }
}

function row(r: Row, step: number, map: BandMap, shown: Shown, silent: boolean[]): HTMLElement {
  if (r.silentHz) {
    return h("tr.band-break", null, h("td", { colspan: map.hours + 1 }, `nothing was heard on the next ${r.silentHz >= 1e6 ? `${(r.silentHz / 1e6).toFixed(1)} MHz` : `${(r.silentHz / 1000).toFixed(0)} kHz`}`));
  }
  return h("tr", null, h("th.figure", { scope: "row" }, kHz(r.hz, step)), Array.from({ length: map.hours }, (_, i) => {
    const cells = r.hours[i] ?? [];
    return h(silent[i] ? "td.hatched" : "td", null, cells.length > 0 && link(cells, r.hz, step, map, shown));
  }));
}

function link(cells: Cell[], hz: number, step: number, map: BandMap, shown: Shown): HTMLElement {
  const mode = cells.length === 1 ? cells[0].mode : shown.modes.length ? shown.modes : null;
  const to = address("/texts", { mode, receiver: shown.receiver, low_hz: hz - step / 2, high_hz: hz + step / 2, from_utc: shown.from_utc, to_utc: shown.to_utc, all: true });
  const told = cells.map((c) => {
    const s = share(c, map);
    const part = s === null ? "" : `${s < 0.01 ? "under 1" : (s * 100).toFixed(0)} % of the ${map.heard_hours[c.hour].toFixed(1)} h listened, `;
    return `${c.mode} for ${span(c.seconds)}, ${part}${c.transmissions} ${c.transmissions === 1 ? "transmission" : "transmissions"}, SNR ${c.mean_snr_db.toFixed(0)} dB`;
  });
  const name = `${hour(cells[0].hour)}, ${kHz(hz, step)} kHz: ${told.join("; ")}`;
  return h("a.band-cell", { href: to, "aria-label": name, tabindex: -1, "data-hour": cells[0].hour, "data-row": Math.round(hz / step) },
    cells.map((c) => h(`span.band-part.mode-tone-${modeNumber(c.mode)}.mode-line-${modeNumber(c.mode)}.strength-${strength(share(c, map))}`)));
}
