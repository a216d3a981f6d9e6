// Times are UTC; local time stands in the tooltip.
import { h } from "./html.ts";

const two = (n: number) => String(n).padStart(2, "0");

/** day is "2026-11-27". */
export const day = (t: Date) => `${t.getUTCFullYear()}-${two(t.getUTCMonth() + 1)}-${two(t.getUTCDate())}`;
/** clock is "12:15Z". */
export const clock = (t: Date) => `${two(t.getUTCHours())}:${two(t.getUTCMinutes())}Z`;
/** seconds is "12:15:07Z". */
export const seconds = (t: Date) => `${two(t.getUTCHours())}:${two(t.getUTCMinutes())}:${two(t.getUTCSeconds())}Z`;
/** moment is "2026-11-27 12:15Z". */
export const moment = (t: Date) => `${day(t)} ${clock(t)}`;

const localForm = new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "medium" }); // one for all: each takes a while to make

/** local is a time as the computer's own clock has it. */
export const local = (t: Date) => `${localForm.format(t)} local time`;

let ahead = 0; // ms by which the station's clock is ahead of this computer's

/** now is the time as the station has it. */
export const now = () => new Date(Date.now() + ahead);

/** setNow tells the station's time. */
export function setNow(utc: string) {
  ahead = +new Date(utc) - Date.now();
}

/** nowIsNotBefore tells that something was heard at a time in ms: the station hears an invented day, or a recording, as fast as it can. */
export function nowIsNotBefore(ms: number) {
  ahead = Math.max(ahead, ms - Date.now());
}

/** time is an element that shows a time in a form: <time>. */
export function time(utc: string | Date, form: (t: Date) => string = moment): HTMLElement {
  const t = new Date(utc);
  return isNaN(+t) ? h("span", null, "–") : h("time", { datetime: t.toISOString(), title: local(t) }, form(t));
}

/** span is how long something lasts: "45 s", "12 min", "3 h 20 min", "4 days". */
export function span(s: number): string {
  s = Math.round(s);
  if (s < 90) return `${s} s`;
  const min = Math.round(s / 60);
  if (min < 60) return `${min} min`;
  const hours = Math.floor(min / 60);
  if (hours < 48) return min % 60 ? `${hours} h ${min % 60} min` : `${hours} h`;
  return `${Math.round(hours / 24)} days`;
}
