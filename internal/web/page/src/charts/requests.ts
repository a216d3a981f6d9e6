// What the views of charts ask the station for.
import { address, get, send, type Query } from "../api.ts";
import type { Changes, Chart, ChartDetail, Session } from "../types.ts";

export interface Listed { charts: Chart[]; next?: string; total?: number }
export interface Titled { title: string; charts: number; latest: Chart }
export interface Histogram { counts: number[] }
/** Noted is what a person says of a chart: it is kept with the transmission. */
export interface Noted { title?: string; notes?: string; rating?: number; favourite?: boolean }

/** Part is a rectangle of a drawing in its pixels, and how many pixels of the screen one of them is to be. */
export interface Part { x: number; y: number; width: number; height: number; scale: number }

const of = (chart: number, what = "") => `/api/charts/${chart}${what && "/" + what}`;

export const list = (query: Query, signal?: AbortSignal) => get<Listed>("/api/charts", query, signal);
export const titles = (query: Query, signal?: AbortSignal) => get<{ titles: Titled[] }>("/api/charts/titles", query, signal).then((t) => t.titles);
export const detail = (chart: number, signal?: AbortSignal) => get<ChartDetail>(of(chart), undefined, signal);
export const histogram = (chart: number, signal?: AbortSignal) => get<Histogram>(of(chart, "histogram"), undefined, signal);
export const save = (chart: number, changes: Changes) => send<Chart>("POST", of(chart, "versions"), { changes });
export const remove = (chart: number) => send<void>("DELETE", of(chart));
export const tell = (transmission: number, noted: Noted) => send<Noted>("PATCH", `/api/transmissions/${transmission}`, noted);

export const thumbnail = (chart: number) => of(chart, "thumbnail");
export const picture = (chart: number) => of(chart, "picture");
export const original = (chart: number) => of(chart, "original");
export const download = (chart: number) => address(of(chart, "picture"), { download: true });
/** preview is the address of a part of the chart as some changes make it, without restoration unless it is asked for. */
export const preview = (chart: number, changes: Changes, part: Part, restored = false) => {
  const { plain: _, ...rest } = changes; // a preview is plain anyway
  return address(of(chart, "preview"), { ...rest, ...part, restored });
};

let role: Promise<boolean> | null = null;
/** mayChange is whether whoever looks may change things too. It is asked once. */
export function mayChange(): Promise<boolean> {
  role ??= get<Session>("/api/session").then((s) => s.role === "change", () => false);
  return role;
}
document.addEventListener("ionoscribe:enter", () => (role = null)); // somebody else may come in
