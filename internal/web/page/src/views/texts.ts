// Texts: transmissions with text, and what is searched in them.
import type { Rules } from "../alerts/shape.ts";
import { address, get, Refused } from "../api.ts";
import { fill, h } from "../html.ts";
import { listen } from "../socket.ts";
import { Filter, queryOf } from "../texts/filter.ts";
import { List } from "../texts/list.ts";
import { syntax } from "../texts/syntax.ts";
import type { Hit } from "../types.ts";
import { go, type Maker, type View } from "../view.ts";

interface Page { transmissions: Hit[]; next?: number }

const page = 50; // hits at a time
const ahead = "800px"; // how far below the window the next page is asked for
const exports: [string, string][] = [["text", "text"], ["csv", "table (CSV)"], ["json", "JSON"], ["adif", "ADIF"]];

export const make: Maker = async (place) => {
  let query = place.query;
  let request = new AbortController();
  let next: number | undefined;
  let loading = false;

  const list = new List();
  const told = h("p.soft.texts-told", { role: "status" });
  const fresh = h("p");
  const more = h("button", { type: "button", hidden: true, onclick: () => load() }, "Older ones");
  const filter = new Filter((a, typed) => a !== location.pathname + location.search && go(a, typed));
  const take = h("p.texts-export");
  const root = h("section", null, h("h1", null, "Texts"), filter.root, syntax((words) => go(address("/texts", { words }))), h("div.texts-above", null, told, take), fresh, list.root, more);

  async function load() {
    if (loading) return;
    loading = true;
    const mine = request;
    const words = query.get("words") ?? "";
    try {
      const p = await get<Page>("/api/transmissions", { ...queryOf(query), before: next, limit: page }, mine.signal);
      list.append(p.transmissions ?? [], words);
      next = p.next;
      filter.say("");
      told.textContent = list.count ? `${list.count}${next ? " and more" : ""} found, the newest first.` : "Nothing was found.";
    } catch (e) {
      if (mine !== request) return;
      next = undefined;
      told.textContent = "";
      filter.say(e instanceof Refused ? e.message : String(e));
    } finally {
      if (mine === request) loading = false;
    }
    more.hidden = !next;
    if (next && near()) load();
  }
  const near = () => more.getBoundingClientRect().top < innerHeight + parseInt(ahead) && root.isConnected;

  function search() {
    request.abort();
    request = new AbortController();
    loading = false;
    next = undefined;
    list.clear();
    fill(fresh);
    more.hidden = true;
    filter.show(query);
    fill(take, "Export what is found: ", exports.map(([form, name], i) => [i > 0 && ", ", h("a", { href: address("/api/transmissions/export", { form, ...queryOf(query) }), download: true }, name)]));
    return load();
  }

  const watch = new IntersectionObserver((seen) => seen.some((s) => s.isIntersecting) && load(), { rootMargin: ahead });
  watch.observe(more);
  const stop = listen({
    event: (e) => {
      if (e.what !== "ended" || fresh.firstChild) return;
      const to = query.get("to_utc"); // what began later is not among what is searched
      if (!to || +new Date(e.transmission.begin_utc) < +new Date(to)) fill(fresh, h("button", { type: "button", onclick: search }, "More has come: show it"));
    },
  });
  const view: View = {
    title: "Texts",
    root,
    keys: [
      { key: "/", does: "to the words", run: () => filter.words.focus() },
      { key: "j", does: "next one; Enter opens it", run: () => list.step(1) },
      { key: "k", does: "the one before", run: () => list.step(-1) },
    ],
    change(p) {
      query = p.query;
      search();
      return true;
    },
    close() {
      request.abort();
      watch.disconnect();
      filter.close();
      stop();
    },
  };
  get<Rules>("/api/rules").then((r) => filter.offer(r.receivers, [...r.modes, "carrier", "other"]), () => {}); // what stands in the address is offered anyway
  await search();
  return view;
};
