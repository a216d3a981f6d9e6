// Band: which frequencies are alive at which hour, over weeks.
import { address, get, Refused } from "../api.ts";
import { Heat } from "../band/heat.ts";
import { shares, type BandMap } from "../band/shape.ts";
import { modeMark, modeNumber } from "../format.ts";
import { fill, h } from "../html.ts";
import { day, known, now, time } from "../time.ts";
import type { Now } from "../types.ts";
import { go, type Maker, type View } from "../view.ts";

const choices = [1, 2, 4, 8]; // weeks
const usual = 4;
const weekMs = 7 * 24 * 3_600_000;

export const make: Maker = async (place) => {
  let receivers: string[] = [];
  let q = place.query;
  let request = new AbortController();
  let map: BandMap | null = null;

  const heat = new Heat();
  const told = h("p.band-told", { role: "status" });
  const fault = h("p.error", { role: "alert" });
  const weeks = h("div.band-weeks", { role: "group", "aria-label": "Weeks" });
  const modes = h("div.band-modes", { role: "group", "aria-label": "Modes" });
  const receiver = h("select", { id: "band-receiver", onchange: () => go(to({ receiver: receiver.value })) });
  const [before, after] = [h("a.button", { rel: "prev" }, "← earlier"), h("a.button", { rel: "next" }, "later →")];
  const explained = h("ul.band-legend");
  const root = h("section", null, h("h1", null, "Band"),
    h("div.bar", null, h("div.band-field", null, h("span.band-label", null, "Weeks"), weeks), h("label", { for: "band-receiver" }, "Receiver", receiver), h("div.band-field", null, h("span.band-label", null, "Modes"), modes), h("nav.band-nav", { "aria-label": "Time" }, before, " ", after)),
    fault, told, heat.root, h("h2", null, "What the colours mean"), explained);

  const chosen = () => {
    const n = choices.find((c) => String(c) === q.get("weeks")) ?? usual;
    const from = new Date(q.get("from_utc") ?? "");
    const begin = isNaN(+from) ? new Date(+now() - n * weekMs) : from;
    return { n, from: begin, to: new Date(Math.min(+begin + n * weekMs, +now())), latest: isNaN(+from), receiver: q.get("receiver") ?? "", modes: q.getAll("mode") };
  };

  /** to is the address with something changed. */
  function to(change: { weeks?: number; receiver?: string; modes?: string[]; from?: Date | null }): string {
    const c = chosen();
    const from = change.from === undefined ? (c.latest ? null : c.from) : change.from;
    const n = change.weeks ?? c.n;
    return address("/band", { weeks: n === usual ? null : n, receiver: change.receiver ?? c.receiver, mode: change.modes ?? c.modes, from_utc: from && stamp(from) });
  }

  function controls() {
    const c = chosen();
    fill(weeks, choices.map((n) => h("a.button", { href: to({ weeks: n }), "aria-current": n === c.n && "true", "aria-label": n === 1 ? "1 week" : `${n} weeks` }, String(n))));
    fill(receiver, h("option", { value: "" }, "all"), [...new Set([...receivers, c.receiver].filter(Boolean))].map((r) => h("option", { value: r }, r)));
    receiver.value = c.receiver;
    before.setAttribute("href", to({ from: new Date(+c.from - c.n * weekMs) }));
    const next = new Date(+c.from + c.n * weekMs);
    const newest = +next + c.n * weekMs >= +now() - 3_600_000; // an hour more or less is the same map
    after.toggleAttribute("hidden", c.latest);
    after.setAttribute("href", to({ from: newest ? null : next }));
    const all = [...new Set([...(map?.modes ?? []), ...c.modes])].sort();
    fill(modes, all.map((m) => {
      const on = !c.modes.length || c.modes.includes(m);
      const others = on ? (c.modes.length ? c.modes : all).filter((x) => x !== m) : [...c.modes, m];
      return h("button", { type: "button", "aria-pressed": String(on), onclick: () => go(to({ modes: others.length === all.length ? [] : others })) }, modeMark(m));
    }), all.length === 0 && h("span.soft", null, "none"));
  }

  function draw() {
    controls();
    if (!map) return;
    const c = chosen();
    const any = map.cells.some((x) => !c.modes.length || c.modes.includes(x.mode));
    const listened = map.heard_hours.reduce((a, b) => a + b, 0);
    fill(told, time(c.from, day), " to ", time(c.to, day), `, ${c.receiver || "all receivers"}: `, listened ? `listened for ${listened.toFixed(0)} h` : "nothing tells how long was listened", any ? "." : ", and nothing was heard on the air.");
    heat.root.hidden = !any;
    heat.show(map, { modes: c.modes, receiver: c.receiver, from_utc: stamp(c.from), to_utc: c.latest ? "" : stamp(c.to) });
    fill(explained, legend(map.modes));
  }

  async function load() {
    request.abort();
    request = new AbortController();
    const c = chosen();
    try {
      map = await get<BandMap>("/api/band", { from_utc: stamp(c.from), to_utc: c.latest ? null : stamp(c.to), receiver: c.receiver }, request.signal);
      fault.textContent = "";
      draw();
    } catch (e) {
      if ((e as Error).name === "AbortError") return;
      controls();
      fault.textContent = e instanceof Refused ? e.message : String(e);
    }
  }

  const view: View = {
    title: "Band",
    root,
    keys: [
      ...choices.map((n) => ({ key: String(n), does: n === 1 ? "1 week" : `${n} weeks`, run: () => go(to({ weeks: n })) })),
      { key: "[", does: "earlier weeks", run: () => before.click() },
      { key: "]", does: "later weeks", run: () => !after.hidden && after.click() },
      { key: "m", does: "to the map; arrows move in it, Enter opens what was heard", run: () => heat.focus() },
    ],
    change(p) {
      const was = chosen();
      q = p.query;
      const is = chosen();
      if (map && was.n === is.n && was.receiver === is.receiver && was.latest === is.latest && (is.latest || +was.from === +is.from)) draw();
      else load();
      return true;
    },
    close: () => request.abort(),
  };
  get<Now>("/api/now").then((n) => {
    receivers = n.receivers.map((r) => r.name);
    controls();
  }, () => {}); // then the map of all is there
  await known; // the latest weeks are those of the station
  await load();
  return view;
};

const stamp = (t: Date) => t.toISOString().slice(0, 19) + "Z";

/** legend explains the colours of modes, and their strengths. */
function legend(modes: string[]): HTMLElement[] {
  const percent = (s: number) => `${(s * 100).toFixed(0)} %`;
  return [
    ...modes.map((m) => h("li", null, h(`span.band-part.band-sample.mode-tone-${modeNumber(m)}.mode-line-${modeNumber(m)}.strength-5`, { "aria-hidden": "true" }), m)),
    h("li", null, h("span.band-strengths", null, shares.map((s, i) => h("span.band-step", null, h(`span.band-part.mode-tone-1.strength-${i + 1}`, { "aria-hidden": "true" }), h("span.figure", null, i ? percent(s) : `under ${percent(shares[1])}`)))),
      "and more: how long it was heard, of the time that the receivers together listened at that hour"),
    h("li", null, h("span.band-sample.hatched", { "aria-hidden": "true" }), "nobody listened at that hour"),
  ];
}
