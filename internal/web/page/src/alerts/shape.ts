// Shapes of alerts and rules, as the interface has them.

export interface Alert {
  id: number; station: string; rule: string; what: string; utc: string; made: string; summary: string; receiver?: string; transmission?: number; mode?: string;
  frequency_hz?: number; entry?: string; title?: string; match?: string; call?: string; excerpt?: string; country?: string; detail?: string;
  held_back?: number; test?: boolean;
}
export interface Delivery { way: string; state: "pending" | "delivered" | "given up"; attempts: number; changed_utc: string; reply: string }
export interface Told extends Alert { deliveries: Delivery[]; acknowledged_utc?: string; acknowledged_by?: string }
export interface Held { rule: string; count: number; latest: Alert }
export interface Alerts { alerts: Told[]; held: Held[]; unacknowledged: number; next?: number }

export interface Rule {
  name: string; text?: string[]; calls?: string[]; countries?: string[]; programme?: string[]; signal?: { from_hz: number; to_hz: number }; receiver?: string[];
  station?: string[]; receivers?: string[]; modes?: string[]; entries?: string[]; ways: string[]; quiet?: string[]; least_interval?: string;
}
export interface Rules {
  rules: Rule[]; ways: { name: string; kind: string }[]; countries: string[]; receivers: string[]; modes: string[]; entries: { id: string; title: string }[];
  writable: boolean;
}
export interface Fault { key: string; message: string; mend: string }
export interface Trial { faults: Fault[]; caught: Alert[]; count: number; held_back: number; from_utc: string; to_utc: string; whole: boolean }
export interface Reply { way: string; reply: string; error?: string }

/** conditions are the kinds of rules: their key, what a person calls them, and what they may ask for. */
export const conditions: { key: keyof Rule; name: string; whats?: [string, string][] }[] = [
  { key: "text", name: "Words come in a text" },
  { key: "calls", name: "A call sign comes" },
  { key: "countries", name: "A country's call sign comes" },
  { key: "programme", name: "The programme", whats: [["came", "a broadcast came"], ["missed", "a broadcast did not come"], ["poor", "a broadcast came badly"]] },
  { key: "signal", name: "A new signal in a range" },
  { key: "receiver", name: "A receiver", whats: [["silent", "is silent"], ["overloaded", "is overloaded"], ["disconnected", "is disconnected"], ["clock", "has a clock that runs away"]] },
  { key: "station", name: "The station", whats: [["disk_full", "has a full disk"], ["not_kept", "cannot keep what is heard"], ["tune_failed", "could not tune a receiver"]] },
];

/** conditionOf is the kind of a rule's condition. */
export const conditionOf = (r: Rule) => conditions.find((c) => (Array.isArray(r[c.key]) ? (r[c.key] as string[]).length > 0 : r[c.key] !== undefined)) ?? conditions[0];

const kHz = (hz: number) => (hz / 1000).toFixed(2).replace(/\.?0+$/, "");

/** short leaves minutes and seconds out that are none: "1h0m0s" is "1h". */
export const short = (duration = "") => duration.replace(/(?<=m)0s$/, "").replace(/(?<=h)0m$/, "");

/** words says what a rule waits for, in words. */
export function words(r: Rule): string {
  const c = conditionOf(r);
  const list = (r[c.key] ?? []) as string[];
  let s = "";
  if (c.whats) s = `${c.name.toLowerCase()}: ${list.map((w) => c.whats!.find(([v]) => v === w)?.[1] ?? w).join(", or ")}`;
  else if (c.key === "signal") s = `a new signal from ${kHz(r.signal?.from_hz ?? 0)} to ${kHz(r.signal?.to_hz ?? 0)} kHz`;
  else s = `${c.name.toLowerCase()}: ${list.join(", ")}`;
  const limits = [
    r.receivers?.length && `receiver ${r.receivers.join(", ")}`, r.modes?.length && `mode ${r.modes.join(", ")}`, r.entries?.length && `entry ${r.entries.join(", ")}`,
    r.quiet?.length && `quiet ${r.quiet.join(", ")} UTC`, r.least_interval && `at most once in ${short(r.least_interval)}`,
  ].filter(Boolean);
  return s + (limits.length ? `; ${limits.join("; ")}` : "");
}
