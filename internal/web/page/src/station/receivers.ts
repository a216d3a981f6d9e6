// The table of receivers. Levels come each second, and the rest when the station tells of it.
import { frequency } from "../format.ts";
import { fill, h } from "../html.ts";
import { Meter } from "../now/meter.ts";
import { now, seconds, span, time } from "../time.ts";
import type { Level, Receiver } from "../types.ts";
import type { Row } from "./shape.ts";

/** Receivers is the table; change and remove are called for a receiver whose button is pressed. */
export class Receivers {
  private readonly body = h("tbody");
  private readonly actions = h("th", { scope: "col" }, h("span.unseen", null, "Actions"));
  private readonly meters = new Map<string, Meter>();
  readonly root = h("div.scroll", { role: "region", "aria-label": "Table of receivers", tabindex: 0 },
    h("table.station-receivers", null,
      h("thead", null, h("tr", null, ["Name", "State", "Source", "Dial", "Level", "Clock", "Lost", "Heard to"].map((t) => h("th", { scope: "col" }, t)), this.actions)),
      this.body));

  constructor(private readonly change: (r: Row) => void, private readonly remove: (r: Row) => void) {}

  show(rows: Row[], mayChange: boolean) {
    this.actions.hidden = !mayChange;
    this.meters.clear();
    const focused = (document.activeElement as HTMLElement)?.dataset?.action;
    fill(this.body, rows.map((r) => this.row(r, mayChange)));
    if (focused) this.body.querySelector<HTMLElement>(`[data-action="${CSS.escape(focused)}"]`)?.focus();
  }

  /** levels shows those of receivers by their names. */
  levels(all: Record<string, Level | null>) {
    for (const [name, meter] of this.meters) meter.show(all[name] ?? undefined);
  }

  private row(r: Row, mayChange: boolean) {
    const n = r.now;
    const meter = new Meter();
    meter.show(n?.connected ? n.level : undefined);
    this.meters.set(r.name, meter);
    const button = (name: string, does: (r: Row) => void) =>
      h("button", { type: "button", "data-action": `${name} ${r.name}`, "aria-label": `${name} ${r.name}`, onclick: () => does(r) }, name);
    return h("tr", null,
      h("th", { scope: "row" }, r.name),
      h("td", null, state(r)),
      h("td", null, h("code", null, n?.source || r.keys?.source || "–")),
      h("td.figure", null, n?.dial_hz ? [frequency(n.dial_hz, true), n.dial_from && h("span.soft", null, ` ${n.dial_from}`)] : (r.keys?.dial ?? "–")),
      h("td", null, meter.root, " ", meter.word),
      h("td.figure", null, n?.connected ? `${n.clock_ppm > 0 ? "+" : ""}${n.clock_ppm.toFixed(1)} ppm` : "–"),
      h("td.figure", null, n ? lost(n) : "–"),
      h("td", null, n?.heard_to_utc ? time(n.heard_to_utc, Math.abs(+now() - +new Date(n.heard_to_utc)) < 12 * 3600_000 ? seconds : undefined) : "–"),
      mayChange && h("td.acts", null, r.in_file && [button("Change", this.change), button("Remove", this.remove)]));
  }
}

/** rests says that a receiver is not listened to at this hour. */
export const rests = (r: Row) => !!r.now && !r.now.connected && !r.now.ended && !r.now.error && !!r.keys?.hours;

/** state is how a receiver fares, in words. */
function state(r: Row) {
  const n = r.now;
  if (!n) return h("span.bad", null, "does not run: see the configuration");
  const since = span((+now() - +new Date(n.since_utc)) / 1000);
  const more = [!r.in_file && " (taken out of station.toml)", r.tunes && h("span.soft", null, " tuned by a command")];
  if (n.ended) return ["heard to its end", more];
  if (n.connected) return [`connected, ${since}`, n.copying > 0 && h("span.soft", null, `, copying ${n.copying}`), more];
  if (rests(r)) return [`rests; it listens ${r.keys!.hours!.join(" and ")} UTC`, more];
  return [h("span.bad", null, n.error ? `not connected for ${since}: ${n.error}` : "not connected"), n.tries > 0 && ` (${n.tries} tries)`, more];
}

const lost = (n: Receiver) => (n.lost_samples === 0 ? "none" : `${n.lost_samples} (${((100 * n.lost_samples) / Math.max(1, n.samples)).toPrecision(2)} %)`);
