// Charts: one stack a title, or a wall of all by time.
import { Refused } from "../api.ts";
import { chartCard, dayHeading, many, nameOf, stackCard } from "../charts/card.ts";
import { bar, endOf, link, query, read, ways, type Filters } from "../charts/filters.ts";
import { List } from "../charts/list.ts";
import { tell, titles, type Titled } from "../charts/requests.ts";
import { Wall, type Cards } from "../charts/wall.ts";
import { fill, h } from "../html.ts";
import { listen } from "../socket.ts";
import { go, notice, type Key, type Maker, type View } from "../view.ts";

/** left is the wall that was left last: whoever comes back finds it as it was. */
let left: { address: string; list: List; scroll: number; item: number } | null = null;

export const make: Maker = (place) => {
  const f = read(place.query);
  return f.by === "title" ? stacks(f) : wall(f);
};

function frame(f: Filters, heading: string, ...more: Node[]) {
  const state = h("p.soft.wall-state", { role: "status" }, "Charts are being loaded.");
  const root = h("section.charts", null, h("div.chart-head", null, h("h1", null, heading), ways(f), ...more), bar(f), state);
  const failed = (e: unknown) => {
    if ((e as Error).name === "AbortError") return;
    fill(state, e instanceof Refused ? e.message : String(e), " ", h("button", { onclick: () => go(link(f), true) }, "Ask again"));
  };
  let come = 0; // charts that have come since
  const stop = listen({
    event(e) {
      if (e.what !== "chart") return;
      come++;
      fill(state, `${come === 1 ? "A new chart has" : `${many(come)} have`} come. `, h("button", { onclick: () => go(link(f), true) }, "Show"));
    },
  });
  return { root, state, failed, stop };
}

const dayLasts = 86_400_000; // ms
const none = "No chart is like that. Filters that ask for less show more.";

/** stacks shows a stack a title. */
function stacks(f: Filters): View {
  let list: Titled[] = [];
  const gone = new AbortController();
  const { root, state, failed, stop } = frame(f, "Charts");
  const cards: Cards = {
    count: () => list.length,
    group: () => "",
    heading: () => h("span"),
    card: (i, sketch) => stackCard(list[i], link({ ...f, title: list[i].title }), sketch),
    more: () => {},
  };
  const w = new Wall(cards);
  root.append(w.root);
  titles(query(f), gone.signal).then((t) => {
    list = t;
    const n = t.reduce((sum, x) => sum + x.charts, 0);
    state.textContent = n ? `${many(n)} of ${t.length} ${t.length === 1 ? "title" : "titles"}, the newest first.` : none;
    w.extend();
  }, failed);
  return {
    title: "Charts", root, keys: keys(w, { open: (i) => go(link({ ...f, title: list[i].title })), told: null }),
    close() {
      stop();
      gone.abort();
      w.close();
    },
  };
}

/** wall shows charts by time. */
function wall(f: Filters): View {
  const address = link(f);
  const back = left?.address === address ? left : null;
  left = null;
  const list = back?.list ?? new List(query(f));
  const jump = h("input", { type: "date", id: "to-day", onchange: () => toDay(jump.value) });
  const { root, state, failed, stop } = frame(f, f.title === undefined ? "Charts by time" : nameOf(f.title), h("p.chart-jump", null, h("label", null, "Go to day (UTC)", jump)));
  const loaded = () => {
    const n = list.ended ? list.count : list.total;
    state.textContent = !list.count ? none : n ? `${many(n)}, the newest first.` : "The newest first; more come as you scroll.";
    w.extend();
  };
  let fails = 0;
  const cards: Cards = {
    count: () => list.count,
    group: (i) => String(Math.floor(list.begin(i) / dayLasts)),
    heading: (i) => dayHeading(list.begin(i)),
    card: (i, sketch) => {
      const c = sketch ? null : list.at(i, () => w.renew(i));
      const card = chartCard(list.chartNumber(i), list.begin(i), c, sketch);
      card.setAttribute("aria-posinset", String(i + 1));
      card.setAttribute("aria-setsize", String(list.ended ? list.count : -1));
      return card;
    },
    more: () => {
      if (!list.ended && !fails) list.more().then(loaded, (e) => (fails++, failed(e)));
    },
  };
  const w = new Wall(cards);
  root.append(w.root);

  /** toDay goes to a day's heading if it is loaded already, and else shows the charts up to that day. */
  function toDay(to: string) {
    if (!/^\d{4}-\d\d-\d\d$/.test(to)) return;
    const end = Date.parse(endOf(to));
    let i = 0;
    while (i < list.count && list.begin(i) >= end) i++;
    if (i < list.count && i > 0) w.show(i);
    else if (!list.ended || i < list.count) go(link({ ...f, to_utc: endOf(to) }));
    else notice(`There is no chart of ${to} or before.`);
  }

  back?.list.forget();
  if (list.count) {
    loaded();
    requestAnimationFrame(() => { // after the shell has gone to the top
      w.extend();
      scrollTo(0, back?.scroll ?? 0);
      if (back && back.item >= 0) w.select(back.item);
    });
  }
  return {
    title: f.title === undefined ? "Charts" : `${nameOf(f.title)}, charts`, root,
    keys: keys(w, {
      open: (i) => go(`/chart/${list.chartNumber(i)}`),
      told: (i, change) => {
        const c = list.at(i, () => {});
        if (!c) return;
        const noted = change(c);
        tell(c.transmission, noted).then(() => {
          list.put(i, { ...(list.at(i, () => {}) ?? c), ...noted } as typeof c);
          w.renew(i);
        }, (e) => notice(e instanceof Refused ? e.message : String(e), true));
      },
    }),
    close() {
      stop();
      left = { address, list, scroll: scrollY, item: w.item() };
      w.close();
    },
  };
}

type Change = (c: { favourite: boolean; rating: number }) => { favourite?: boolean; rating?: number };

function keys(w: Wall, does: { open(i: number): void; told: ((i: number, change: Change) => void) | null }): Key[] {
  const { told } = does;
  const at = (run: (i: number) => void) => () => w.item() >= 0 && run(w.item());
  return [
    { key: "ArrowRight", does: "the next chart, older", run: () => w.move(1) },
    { key: "ArrowLeft", does: "the one before it, newer", run: () => w.move(-1) },
    { key: "ArrowDown", does: "a row down", run: () => w.moveRow(1) },
    { key: "ArrowUp", does: "a row up", run: () => w.moveRow(-1) },
    { key: "j", does: "the next chart, older", run: () => w.move(1) },
    { key: "k", does: "the one before it, newer", run: () => w.move(-1) },
    { key: "Enter", does: "open it", run: (e) => {
      const on = (e.target as Element).closest<HTMLElement>("a, button, summary");
      if (on) on.click(); // Enter is theirs
      else at(does.open)();
    } },
    ...(told ? [
      { key: "f", does: "a favourite, or no longer", run: at((i) => told(i, (c) => ({ favourite: !c.favourite }))) },
      ...[1, 2, 3, 4, 5].map((n): Key => ({ key: String(n), does: `rate it ${n} of 5, or take that back`, run: at((i) => told(i, (c) => ({ rating: c.rating === n ? 0 : n }))) }))] : []),
  ];
}
