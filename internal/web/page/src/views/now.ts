// Now: what is on the air. The station tells by its socket; parts of the view show it.
import { fill, h } from "../html.ts";
import { add, begin, type Heard } from "../now/heard.ts";
import type { Speed } from "../now/history.ts";
import { nowKeys } from "../now/keys.ts";
import { Listening } from "../now/listen.ts";
import { what } from "../now/marks.ts";
import { Panel, sound } from "../now/panel.ts";
import { Strip } from "../now/strip.ts";
import { listen, want, type Listener } from "../socket.ts";
import type { Now, Receiver, Transmission } from "../types.ts";
import { notice, type Maker } from "../view.ts";

const mostSaid = 12; // lines in the live region: they are read when they come, and not again
const mostOver = 64; // transmissions that are over of which is still known what came: more than strips and slips show
const mostGL = 8; // strips that draw by WebGL: browsers allow 16 contexts
const speeds: [Speed, string][] = [[1, "Fast"], [3, "Middle"], [10, "Slow"]];

export const make: Maker = () => {
  const strips = new Map<string, Strip>();
  const numbers = new Map<number, Strip>(); // by number of the receiver in binary messages
  const transmissions = new Map<number, Heard>();
  let speed: Speed = 3;
  let paused = false;

  const told = h("p.soft", null, "The station is asked what is on the air.");
  const list = h("div.strips");
  const said = h("div.unseen", { role: "log", "aria-live": "polite", "aria-label": "What is printed" });
  const pause = h("button", { type: "button", "aria-pressed": "false", title: "Pause (space)", onclick: () => setPaused(!paused) }, "Pause");
  const pace = h("select", { onchange: () => run(speeds[pace.selectedIndex][0]) }, speeds.map(([s, name]) => h("option", { selected: s === speed }, name)));
  const listening = new Listening(() => {
    strips.forEach((s) => s.listens());
    panel.show();
  });
  const panel = new Panel(listening, () => {
    root.classList.toggle("with-panel", panel.heard !== null);
    strips.forEach((s) => s.field.select(panel.heard?.t.transmission ?? -1));
    wants();
  });
  const root = h("section.now", null,
    h("div.now-head", null, h("h1", null, "Now"), listening.root, h("span.tools", null, pause, h("label.inline", null, h("span.soft", null, "Speed"), pace))),
    told, h("div.now-body", null, list, panel.root), said);

  const doing = {
    listening,
    choose: (heard: Heard, from: HTMLElement) => (panel.heard === heard && from.matches(".outline") ? panel.close() : panel.open(heard, from)),
    heard: (id: number) => transmissions.get(id),
    said(heard: Heard, line: string) { // of one that is opened alone, if one is
      if (panel.heard && panel.heard !== heard) return;
      said.append(h("p", null, `${what(heard.t)}: ${line}`));
      while (said.childElementCount > mostSaid) said.firstElementChild!.remove();
    },
  };

  function run(s: Speed) {
    speed = s;
    strips.forEach((s) => s.field.run(speed));
  }

  function setPaused(p: boolean) {
    paused = p;
    strips.forEach((s) => (s.field.paused = p));
    root.classList.toggle("paused", p);
    pause.setAttribute("aria-pressed", String(p));
    pause.textContent = p ? "Go on" : "Pause";
  }

  function receivers(all: Receiver[]) {
    for (const [name, s] of strips) {
      if (all.some((r) => r.name === name)) continue;
      s.close();
      strips.delete(name);
    }
    numbers.clear();
    for (const r of all) {
      let s = strips.get(r.name);
      if (s) s.show(r);
      else {
        s = new Strip(r, doing, speed, strips.size >= mostGL);
        s.field.paused = paused;
        strips.set(r.name, s);
        list.append(s.root);
      }
      numbers.set(r.number, s);
    }
    list.dataset.count = String(Math.min(4, strips.size));
    told.hidden = strips.size > 0;
    fill(told, "No receiver is configured. ", h("a", { href: "/station" }, "Add one under Station"), ".");
    wants();
  }

  function show(heard: Heard) {
    strips.get(heard.t.receiver)?.heard(heard);
    if (panel.heard === heard) panel.show();
  }

  /** change takes what the station tells of a transmission. */
  function change(t: Transmission, going: boolean) {
    const heard = transmissions.get(t.transmission);
    if (!heard) return;
    if (!heard.chart && t.mode === "fax") heard.chart = true;
    heard.t = t;
    heard.going = going;
    show(heard);
    if (going) return;
    const over = [...transmissions.values()].filter((h) => !h.going && h !== panel.heard);
    over.slice(0, Math.max(0, over.length - mostOver)).forEach((h) => transmissions.delete(h.t.transmission));
    wants();
  }

  /** drawn says whether what is sent ended, but for its chart. */
  function drawn(heard: Heard, is: boolean) {
    heard.drawn = is;
    const latest = strips.get(heard.t.receiver)?.field.latest;
    if (is && latest) heard.t = { ...heard.t, end_utc: new Date(latest).toISOString() };
    show(heard);
  }

  /** drawings are those of a transmission that are shown. */
  const drawings = (id: number) => [strips.get(transmissions.get(id)?.t.receiver ?? "")?.drawing(id), panel.heard?.t.transmission === id ? panel.drawing : null];

  const events: Record<string, (e: any) => void> = {
    began(e) {
      const heard = begin(e.transmission);
      transmissions.set(heard.t.transmission, heard);
      show(heard);
      wants();
    },
    changed: (e) => change(e.transmission, true),
    ended: (e) => change(e.transmission, false),
    text(e) {
      const heard = transmissions.get(e.id);
      if (!heard) return;
      add(heard, e.chars);
      strips.get(e.receiver)?.text(heard, e.chars);
      if (panel.heard === heard) panel.text(e.chars);
    },
    drawing(e) {
      const heard = transmissions.get(e.id);
      if (!heard) return;
      drawn(heard, true);
      drawings(e.id).forEach((d) => d?.complete());
    },
    chart(e) {
      const heard = transmissions.get(e.id);
      if (!heard) return;
      heard.saved = { chart: e.chart, title: e.title, quality: e.quality };
      if (e.title) heard.t = { ...heard.t, title: e.title };
      drawings(e.id).forEach((d) => void d?.saved(heard.saved!));
      show(heard);
    },
    receivers: (e) => receivers(e.receivers),
    levels: (e) => Object.entries(e.levels).forEach(([name, l]) => strips.get(name)?.level(l as Receiver["level"])),
    trouble: (e) => notice(`${e.receiver}: ${e.text}`, true),
  };

  const listener: Listener = {
    now(n: Now) {
      receivers(n.receivers);
      for (const [id, heard] of transmissions) { // that ended while nothing was heard of the station
        if (heard.going && !n.transmissions.some((g) => g.transmission === id)) change({ ...heard.t, end_utc: n.utc, state: "complete" }, false);
      }
      for (const g of n.transmissions) {
        const known = transmissions.get(g.transmission);
        if (known) { // but not what was missed of it
          Object.assign(known, begin(g), { chart: known.chart || g.chart !== undefined });
          strips.get(g.receiver)?.heard(known, true);
          if (panel.heard === known) panel.renew();
        } else events.began({ transmission: g });
      }
      wants();
    },
    event: (e) => events[e.what]?.(e),
    row: (number, _row, utc, bins) => numbers.get(number)?.field.row(utc, bins),
    line(id, row, pixels) {
      drawings(id).forEach((d) => d?.line(row, pixels));
      const heard = transmissions.get(id);
      if (!heard) return;
      heard.rows = row + 1;
      if (heard.drawn) drawn(heard, false); // the next chart has begun
    },
  };

  /** wants tells the socket what is shown. */
  function wants() {
    want(listener, {
      spectrum: [...strips.values()].filter((s) => !s.isFolded).map((s) => s.receiver.name),
      lines: [...transmissions.values()].filter((h) => h.going && h.chart).map((h) => h.t.transmission),
      levels: true,
    });
  }

  const stop = listen(listener, { levels: true });
  root.addEventListener("click", (e) => (e.target as Element).closest(".fold") && wants());
  let frame = requestAnimationFrame(function draw(now) {
    strips.forEach((s) => s.field.frame(now));
    frame = requestAnimationFrame(draw);
  });
  const ticking = setInterval(() => {
    panel.tick();
    strips.forEach((s) => s.tick());
  }, 1_000);

  return {
    title: "Now",
    root,
    keys: nowKeys({
      strips: () => [...strips.values()],
      pause: () => setPaused(!paused),
      listen(strip, id) {
        const heard = id === undefined ? panel.heard : transmissions.get(id);
        if (heard) listening.toggle(sound(heard));
        else if (strip) listening.toggle(strip.wanted());
      },
      folded: wants,
      close: () => panel.close(),
    }),
    close() {
      stop();
      cancelAnimationFrame(frame);
      clearInterval(ticking);
      listening.stop();
      strips.forEach((s) => s.close());
    },
  };
};
