// A day in words.
import { frequency } from "../format.ts";
import { clock, dayInWords, span } from "../time.ts";
import { expectedOf, type Day, type Gap, type Item, type Lane } from "./shape.ts";

/** dateInWords is "Friday, 27 November 2026". */
export const dateInWords = (d: string) => dayInWords(new Date(`${d}T00:00:00Z`));

const plain = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

/** summary is the day in a sentence or two. */
export function summary(day: Day): string {
  const expected = day.lanes.flatMap(expectedOf);
  const of = (outcome: string) => expected.filter((e) => e.outcome === outcome).length;
  const [came, poor, missed, due] = [of("came"), of("poor"), of("missed"), of("due")];
  const filed = new Set(expected.map((e) => e.transmission));
  const others = day.lanes.flatMap((l) => l.came ?? []).filter((c) => !filed.has(c.transmission)).length;
  const told: string[] = [];
  if (came + poor + missed) told.push([`${came} of ${came + poor + missed} came`, poor && `${poor} poor`, missed && `${missed} missed`].filter(Boolean).join(", "));
  if (due) told.push(`${due} still due`);
  if (!expected.length) told.push("The programme expects nothing on this day");
  if (others) told.push(`${plain(others, "transmission")} ${others === 1 ? "is" : "are"} on no programme`);
  return told.map((s) => s + ".").join(" ");
}

/** laneName is a lane's frequency, or what it is for. */
export const laneName = (l: Lane) => (l.hz ? frequency(l.hz, l.on_air) : l.label || "other");

/** receiverName is that of a lane; of what was expected of any receiver there may be none. */
export const receiverName = (l: Lane) => l.receiver || "any receiver";

/** what is an item's title, or its mode. */
export const what = (i: Item) => i.several ? plain(i.several.length, "transmission") : i.expected?.title || i.came?.title || `${i.expected?.mode ?? i.came?.mode} without a title`;

const between = (from: number, to: number) => {
  const [a, b] = [clock(new Date(from)), clock(new Date(to))];
  return a === b ? a : `${a} to ${b}`;
};

/** outcome is what became of an item. */
export function outcome(i: Item): string {
  const c = i.came;
  const how = c && (c.state === "arriving" ? "still arriving" : `quality ${(c.quality * 100).toFixed(0)} of 100, SNR ${c.snr_db.toFixed(0)} dB`);
  const e = i.expected;
  if (!e) return `on no programme, ${how}`;
  const why = e.why ? `, ${e.why}` : "";
  if (how) return `${e.outcome}${why}, ${how}`;
  const q = e.quality && e.outcome !== "missed" ? `, quality ${(e.quality * 100).toFixed(0)} of 100` : "";
  return e.outcome + why + q;
}

/** full is all of an item. */
export function full(i: Item): string {
  if (i.several) {
    const modes = [...new Set(i.several.map((c) => c.mode))].sort().map((m) => `${i.several!.filter((c) => c.mode === m).length} ${m}`);
    return `${between(i.from, i.to)}, ${what(i)} close together, ${receiverName(i.lane)} ${laneName(i.lane)}: ${modes.join(", ")}, on no programme`;
  }
  const where = i.came && !i.lane.hz ? frequency(i.came.hz, i.came.hz > mostAudio) : laneName(i.lane);
  return `${between(i.from, i.to)}, ${what(i)}, ${i.came?.mode ?? i.expected?.mode}, ${receiverName(i.lane)} ${where}: ${outcome(i)}`;
}

const mostAudio = 100_000; // Hz: what is above is on the air; lanes of others do not say it

/** silence is a gap in words. */
export function silence(g: Gap): string {
  const [from, to] = [+new Date(g.from_utc), +new Date(g.to_utc)];
  return `${between(from, to)}: nothing was heard for ${span((to - from) / 1000)}${g.why ? `, ${g.why}` : ""}`;
}
