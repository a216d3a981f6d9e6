// A day as the station tells it, and what is drawn of it.
import { address } from "../api.ts";

export type Outcome = "due" | "came" | "poor" | "missed";

export interface Expected {
  key: string; title: string; mode: string; from_utc: string; to_utc: string; outcome: Outcome; why?: string; transmission?: number; quality?: number;
}
export interface Came {
  transmission: number; chart?: number; mode: string; state: "arriving" | "complete" | "cut"; title?: string; begin_utc: string; end_utc: string; hz: number; quality: number; snr_db: number; settings?: string;
}
export interface Gap { from_utc: string; to_utc: string; why?: string }
export interface Lane {
  receiver: string; hz: number; on_air: boolean; label?: string; heard?: [string, string][]; gaps?: Gap[]; expected?: Expected[]; came?: Came[];
}
export interface Day { date: string; lanes: Lane[] }

/** Item is a mark of a lane: what was expected, what came, or both; or several that came close together. Times are in ms since 1970. */
export interface Item { key: string; lane: Lane; from: number; to: number; expected?: Expected; came?: Came; several?: Came[] }

/** expectedOf is what was expected in a lane. An occurrence that was missed and came after all is told once. */
export function expectedOf(lane: Lane): Expected[] {
  const came = new Set((lane.expected ?? []).filter((e) => e.transmission).map((e) => e.key));
  return (lane.expected ?? []).filter((e) => e.transmission || !came.has(e.key));
}

/** itemsOf are the marks of a lane, in the order of time. */
export function itemsOf(lane: Lane): Item[] {
  const came = new Map((lane.came ?? []).map((c) => [c.transmission, c]));
  const taken = new Set<number>();
  const items: Item[] = expectedOf(lane).map((expected) => {
    const c = expected.transmission ? came.get(expected.transmission) : undefined;
    const first = c && !taken.has(c.transmission); // a transmission may be what several entries expected
    if (c) taken.add(c.transmission);
    return {
      key: expected.key, lane, expected, came: c,
      from: first ? +new Date(c.begin_utc) : +new Date(expected.from_utc),
      to: first ? +new Date(c.end_utc) : +new Date(expected.to_utc),
    };
  });
  for (const c of came.values()) {
    if (!taken.has(c.transmission)) items.push({ key: String(c.transmission), lane, came: c, from: +new Date(c.begin_utc), to: +new Date(c.end_utc) });
  }
  return items.sort((a, b) => a.from - b.from);
}

/** addressOf is where an item is read: its chart or its text; of what did not come, what came before of the same title. */
export function addressOf(i: Item): string {
  if (i.several) {
    const near = i.lane.hz && { low_hz: i.lane.hz - nearLane, high_hz: i.lane.hz + nearLane };
    return address("/texts", { receiver: i.lane.receiver || null, ...near, all: true, from_utc: stamp(i.from), to_utc: stamp(i.to + 1000) });
  }
  if (i.came?.chart) return `/chart/${i.came.chart}`;
  const t = i.came?.transmission ?? i.expected?.transmission;
  if (t) return `/text/${t}`;
  const e = i.expected!;
  return e.mode === "fax" ? address("/charts", { title: e.title }) : address("/texts", { words: e.title && `"${e.title.replaceAll('"', " ")}"` });
}

/** heardThen is where everything is read that a receiver heard around an item. */
export function heardThen(i: Item): string {
  const around = 30 * 60_000; // a broadcast that is late or early by more is another one
  return address("/texts", { receiver: i.lane.receiver || null, all: true, from_utc: stamp(i.from - around), to_utc: stamp(i.to + around) });
}

const stamp = (ms: number) => new Date(ms).toISOString().slice(0, 19) + "Z";

const nearLane = 1000; // Hz: what is within is in a lane, as the station sorts it

/** bundle puts transmissions on no programme together where more than a few would cover each other if each is so many ms wide. */
export function bundle(items: Item[], leastMs: number): Item[] {
  const few = 3;
  const out = items.filter((i) => i.expected);
  let run: Item[] = [];
  const end = () => {
    if (run.length > few) {
      const [from, to] = [run[0].from, Math.max(...run.map((i) => i.to))];
      out.push({ key: `several-${run[0].key}`, lane: run[0].lane, from, to, several: run.map((i) => i.came!) });
    } else out.push(...run);
    run = [];
  };
  for (const i of items.filter((i) => !i.expected)) {
    if (run.length && i.from > run[run.length - 1].from + leastMs) end();
    run.push(i);
  }
  end();
  return out.sort((a, b) => a.from - b.from);
}

/** rows gives each item a row, so that no two that are at least so many ms wide cover each other: the programme comes first. */
export function rows(items: Item[], leastMs: number): number[] {
  const taken: [number, number][][] = [];
  const row = new Map<Item, number>();
  for (const i of [...items.filter((i) => i.expected), ...items.filter((i) => !i.expected)]) {
    const [from, to] = [i.from, Math.max(i.to, i.from + leastMs)];
    let n = taken.findIndex((r) => r.every(([a, b]) => to <= a || from >= b));
    if (n < 0) n = taken.push([]) - 1;
    taken[n].push([from, to]);
    row.set(i, n);
  }
  return items.map((i) => row.get(i)!);
}
