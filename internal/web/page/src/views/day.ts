// Day: what the programme expected, what came, and when nothing was heard.
import { get, Refused } from "../api.ts";
import { Lanes } from "../day/lanes.ts";
import { legend } from "../day/legend.ts";
import { addressOf, heardThen, itemsOf, type Day } from "../day/shape.ts";
import { dateInWords, laneName, outcome, receiverName, summary, what } from "../day/words.ts";
import { fill, h } from "../html.ts";
import { listen } from "../socket.ts";
import { clock, day as dayOf, known, now, time } from "../time.ts";
import { go, type Maker, type Place, type View } from "../view.ts";

const settles = 3_000; // ms after an event until the day is asked for again: several come together
const again = 5 * 60_000; // ms: what was due may be missed now, of which no event tells

const dateOf = (p: Place) => p.at.date ?? dayOf(now());
const beside = (date: string, days: number) => dayOf(new Date(+new Date(`${date}T00:00:00Z`) + days * 86_400_000));
const isDate = (s: string) => /^\d{4}-\d\d-\d\d$/.test(s) && !isNaN(+new Date(`${s}T00:00:00Z`)) && dayOf(new Date(`${s}T00:00:00Z`)) === s;

export const make: Maker = async (place) => {
  if (!place.at.date) await known; // today is that of the station
  let date = dateOf(place);
  let request = new AbortController();
  const lanes = new Lanes();
  const heading = h("h1");
  const told = h("p.day-summary", { role: "status" });
  const attention = h("section.day-attention");
  const explained = h("div");
  const fault = h("p.error", { role: "alert" });
  const field = h("input", { type: "date", id: "day-date", onchange: () => isDate(field.value) && go(`/day/${field.value}`) });
  const before = h("a.button", { rel: "prev" });
  const after = h("a.button", { rel: "next" });
  const root = h("section", null,
    h("div.day-head", null, heading, h("nav.day-nav", { "aria-label": "Days" }, before, h("label", { for: "day-date" }, h("span.unseen", null, "Date (UTC)"), field), after, h("a.button", { href: "/day" }, "Today"))),
    fault, told, attention, lanes.root, explained);

  async function load(first: boolean) {
    request.abort();
    request = new AbortController();
    field.value = date;
    heading.textContent = isDate(date) ? dateInWords(date) : "No such day";
    if (isDate(date)) point(before, `← ${beside(date, -1)}`, beside(date, -1), "previous day"), point(after, `${beside(date, 1)} →`, beside(date, 1), "next day");
    if (first) lanes.root.setAttribute("aria-busy", "true"); // what is there is of another day
    try {
      if (!isDate(date)) throw new Refused(400, { title: "No day", status: 400, detail: `${date} is no day such as 2026-11-27.` });
      const d = await get<Day>("/api/day", { date }, request.signal);
      fault.textContent = "";
      if (told.textContent !== summary(d)) told.textContent = summary(d);
      fill(attention, list(d));
      lanes.show(d);
      lanes.root.removeAttribute("aria-busy");
      lanes.time(+now());
      if (first) {
        fill(explained, legend(d));
        requestAnimationFrame(() => lanes.reveal(+now()));
      }
    } catch (e) {
      if ((e as Error).name === "AbortError") return;
      fault.textContent = (e as Error).message;
    }
  }

  let timer = 0;
  const soon = () => {
    if (date !== dayOf(now())) return;
    clearTimeout(timer);
    timer = window.setTimeout(() => load(false), settles);
  };
  const stop = listen({ event: (e) => ["began", "ended", "chart", "receivers", "gap"].includes(e.what) && soon() });
  let last = +now();
  const ticking = setInterval(() => {
    lanes.time(+now());
    if (place.at.date === undefined && date !== dayOf(now())) { // past midnight, today is another day
      date = dayOf(now());
      view.title = `Day ${date}`;
      load(true);
    } else if (+now() - last > again) {
      last = +now();
      soon();
    }
  }, 20_000);

  const step = (days: number) => isDate(date) && go(`/day/${beside(date, days)}`);
  const view: View = {
    title: `Day ${date}`,
    root,
    keys: [
      { key: "[", does: "previous day", run: () => step(-1) },
      { key: "]", does: "next day", run: () => step(1) },
      { key: "ArrowLeft", does: "previous day; among the marks, the one before", run: () => step(-1) },
      { key: "ArrowRight", does: "next day; among the marks, the one after", run: () => step(1) },
      { key: "0", does: "today", run: () => go("/day") },
      { key: "m", does: "to the marks; arrows move among them, Enter opens one", run: () => lanes.root.querySelector<HTMLElement>(".day-marks [tabindex='0']")?.focus() },
    ],
    change(p) {
      place = p;
      date = dateOf(p);
      view.title = `Day ${date}`;
      load(true);
      return true;
    },
    close() {
      request.abort();
      clearTimeout(timer);
      clearInterval(ticking);
      stop();
      lanes.close();
    },
  };
  await load(true);
  return view;
};

function point(a: HTMLElement, text: string, date: string, name: string) {
  a.textContent = text;
  a.setAttribute("href", `/day/${date}`);
  a.setAttribute("aria-label", `${text.replace(/[←→ ]/g, "")}, ${name}`);
}

/** list is what needs attention: what was missed or is poor. */
function list(d: Day) {
  const items = d.lanes.flatMap(itemsOf).filter((i) => i.expected?.outcome === "missed" || i.expected?.outcome === "poor").sort((a, b) => a.from - b.from);
  if (!items.length) return null;
  return [
    h("h2", null, "Needs attention"),
    h("ul", null, items.map((i) => h("li", null,
      time(new Date(i.from), clock), " ", h("strong.day-outcome", null, i.expected!.outcome), " ", h("a", { href: addressOf(i) }, what(i)),
      h("span.soft", null, ` ${receiverName(i.lane)} ${laneName(i.lane)}: ${outcome(i).replace(/^(missed|poor),? ?/, "") || "no reason is known"} `),
      i.expected!.outcome === "missed" && h("a", { href: heardThen(i) }, "what was heard then")))),
  ];
}
