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

// The browser's own forms of dates and figures are not used where the page loads: the first one takes a slow computer a quarter of a second.
const weekdays = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const months = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];

/** weekday is "Friday". */
export const weekday = (t: Date) => weekdays[t.getUTCDay()];
/** dayInWords is "Friday, 27 November 2026". */
export const dayInWords = (t: Date) => `${weekday(t)}, ${t.getUTCDate()} ${months[t.getUTCMonth()]} ${t.getUTCFullYear()}`;

// The tooltip of a <time> is made when somebody points at it.
let localForm: Intl.DateTimeFormat | undefined;
document.addEventListener("pointerover", (e) => {
  const t = (e.target as Element).closest?.("time");
  if (!t?.dateTime) return;
  localForm ??= new Intl.DateTimeFormat(undefined, { dateStyle: "medium", timeStyle: "medium" });
  t.title = `${localForm.format(new Date(t.dateTime))} local time`;
});

let ahead = 0; // ms by which the station's clock is ahead of this computer's

/** now is the time as the station has it. */
export const now = () => new Date(Date.now() + ahead);

let told: () => void;
/** known is kept when the station has told its time, or cannot. */
export const known = new Promise<void>((done) => (told = done));

/** setNow tells the station's time; undefined: it is not to be had. */
export function setNow(utc?: string) {
  if (utc) ahead = +new Date(utc) - Date.now();
  told();
}

/** nowIsNotBefore tells that something was heard at a time in ms: the station hears an invented day, or a recording, as fast as it can. */
export function nowIsNotBefore(ms: number) {
  ahead = Math.max(ahead, ms - Date.now());
}

/** time is an element that shows a time in a form: <time>. */
export function time(utc: string | Date, form: (t: Date) => string = moment): HTMLElement {
  const t = new Date(utc);
  return isNaN(+t) ? h("span", null, "–") : h("time", { datetime: t.toISOString() }, form(t));
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
