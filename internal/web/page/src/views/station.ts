// Station: its receivers, its disk, what went wrong of late, and its configuration.
import { get } from "../api.ts";
import { fill, h } from "../html.ts";
import { listen } from "../socket.ts";
import { Editor } from "../station/config.ts";
import { disk, queue, versions } from "../station/disk.ts";
import { edit, problems, remove } from "../station/form.ts";
import { deletions, incidents } from "../station/past.ts";
import { Receivers, rests } from "../station/receivers.ts";
import { mayChange, type Row, type Station } from "../station/shape.ts";
import type { Maker, View } from "../view.ts";

const again = 30_000; // ms between two looks: queue and disk have no events
const settles = 1_500; // ms after an event: several come together
const takenUp = 1_200; // ms after the file was written until the station has taken it up

export const make: Maker = async () => {
  let station: Station | null = null;
  let timer = 0;
  const request = new AbortController();
  const soon = (ms: number) => {
    clearTimeout(timer);
    timer = window.setTimeout(load, ms);
  };
  const wrote = () => soon(takenUp);
  const receivers = new Receivers((r) => edit(r, wrote), (r) => remove(r, wrote));
  const editor = new Editor(wrote);
  const add = h("button", { type: "button", onclick: () => edit(null, wrote) }, "Add a receiver");
  const fault = h("p.error", { role: "alert" });
  const well = h("p.station-well", { role: "status" });
  const parts = { disk: h("div"), queue: h("div"), versions: h("div"), incidents: h("div"), deletions: h("div"), config: h("div"), cautions: h("div") };
  const part = (title: string, root: HTMLElement) => h("section.sheet", { "aria-label": title }, h("h2", null, title), root);
  const root = h("section.station-view", null,
    h("div.station-head", null, h("h1", null, "Station"), well), fault,
    h("section", { "aria-label": "Receivers" }, h("div.station-head", null, h("h2", null, "Receivers"), add), receivers.root),
    h("div.station-sheets", null, part("Disk", parts.disk), part("Queue", parts.queue), part("Versions", parts.versions), part("Cautions", parts.cautions)),
    h("section", null, h("h2", null, "The last 24 hours"), parts.incidents),
    h("section", null, h("h2", null, "What was deleted"), parts.deletions),
    h("section", null, h("h2", { id: "configuration" }, "Configuration"), parts.config));

  let turn = 0;
  async function load() {
    clearTimeout(timer);
    const mine = ++turn;
    try {
      const s = await get<Station>("/api/station", {}, request.signal);
      if (mine !== turn) return; // a later answer is there, or comes
      station = s;
      fault.textContent = "";
      show(s);
    } catch (e) {
      if ((e as Error).name === "AbortError") return;
      fault.textContent = (e as Error).message;
    }
    timer = window.setTimeout(load, again);
  }

  function show(s: Station) {
    const change = mayChange(s);
    const trouble = troubleOf(s);
    const told = trouble ? `Needs attention: ${trouble}.` : `${s.name || "The station"}${s.place ? `, ${s.place},` : ""} is well.`;
    if (well.textContent !== told) well.textContent = told;
    well.classList.toggle("bad", !!trouble);
    add.hidden = !change;
    receivers.show(s.receivers, change);
    fill(parts.disk, disk(s));
    fill(parts.queue, queue(s));
    fill(parts.versions, versions(s));
    keep(parts.incidents, incidents(s));
    keep(parts.deletions, deletions(s));
    fill(parts.cautions, h("ul", null, s.cautions.map((c) => h("li", null, c))));
    configuration(s);
  }

  function configuration(s: Station) {
    if (mayChange(s)) {
      if (!editor.root.isConnected) fill(parts.config, h("p.soft", null, h("code", null, s.config.path)), editor.root);
      return editor.show(s.config);
    }
    fill(parts.config,
      s.config.problems.length ? problems(s.config.problems) : h("p", null, "Nothing is wrong with station.toml."),
      h("p.soft", null, "Its text is for those who may change it."));
  }

  const stop = listen({
    event(e) {
      if (e.what === "levels") receivers.levels(e.levels);
      else if (["receivers", "gap", "trouble"].includes(e.what)) soon(settles);
    },
  }, { levels: true });
  const chosen = (does: (r: Row | null) => void) => void (station && mayChange(station) && does(null));
  const view: View = {
    title: "Station",
    root,
    keys: [
      { key: "a", does: "add a receiver", run: () => chosen(() => edit(null, wrote)) },
      { key: "e", does: "to the text of station.toml", run: () => chosen(() => editor.focus()) },
      { key: "r", does: "look again", run: () => void load() },
    ],
    close() {
      request.abort();
      clearTimeout(timer);
      editor.close();
      stop();
    },
  };
  await load();
  return view;
};

/** troubleOf is what needs attention; "": nothing. A receiver that rests is well. */
function troubleOf(s: Station): string {
  if (s.health.trouble) return s.health.trouble;
  const ill = s.receivers.filter((r) => r.now && !r.now.connected && !r.now.ended && !rests(r)).map((r) => r.name);
  if (ill.length) return `${ill.join(", ")} ${ill.length > 1 ? "are" : "is"} not connected`;
  return s.health.well || s.receivers.some(rests) ? "" : "a receiver is without samples";
}

/** keep replaces what is in a part; what was unfolded stays so. */
function keep(part: HTMLElement, content: Parameters<typeof fill>[1]) {
  const open = part.querySelector("details")?.open;
  fill(part, content);
  const d = part.querySelector("details");
  if (d && open) d.open = true;
}
