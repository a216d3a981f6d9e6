// The list of alerts, with what became of each on its ways out.
import { modeMark } from "../format.ts";
import { h } from "../html.ts";
import { clock, moment, now, time } from "../time.ts";
import type { Alert, Delivery, Held, Told } from "./shape.ts";

/** said is what an alert tells of: its words, where it comes from, and a link to it. */
export function said(a: Alert): HTMLElement {
  return h("div.said", null,
    h("div", null, a.test && h("b", null, "Test. "), a.transmission ? h("a", { href: `/text/${a.transmission}` }, a.summary) : a.summary),
    a.excerpt ? excerpt(a) : null,
    a.detail && h("div.soft", null, a.detail),
    h("div.said-about", null,
      a.mode && modeMark(a.mode),
      a.call && h("span.received", null, a.call), a.country && h("span", null, a.country),
      a.held_back ? h("span", null, `and ${a.held_back} held back before it`) : null));
}

/** excerpt is the text up to what was found, with that marked. */
function excerpt(a: Alert): HTMLElement {
  const text = a.excerpt!;
  const found = a.match ?? a.call ?? "";
  const at = found ? text.lastIndexOf(found) : -1;
  const tail = text.slice(Math.max(0, at < 0 ? text.length - 120 : at - 90)); // the line is for a look; the text is behind the link
  const from = at < 0 ? -1 : tail.lastIndexOf(found);
  const cut = tail.length < text.length && "… ";
  return h("div.received.said-text", null, cut, from < 0 ? tail : [tail.slice(0, from), h("mark", null, found), tail.slice(from + found.length)]);
}

const states: Record<Delivery["state"], string> = { pending: "under way", delivered: "delivered", "given up": "given up" };

/** delivered says what became of an alert on a way out. */
function delivered(d: Delivery): HTMLElement {
  const failing = d.state === "given up" || (d.state === "pending" && d.attempts > 0);
  return h(failing ? "li.failing" : "li", null,
    h("b", null, d.way), ": ", failing && d.state === "pending" ? "failed so far" : states[d.state], " ", time(d.changed_utc, near),
    d.attempts > 1 && `, ${d.attempts} attempts`, d.reply && failing && h("div", null, d.reply), d.reply.trim() && !failing && h("span.soft.reply", { title: d.reply }, d.reply));
}

/** near leaves the day out if it is today. */
const near = (t: Date) => (t.toISOString().slice(0, 10) === now().toISOString().slice(0, 10) ? clock(t) : moment(t));

/** row is an alert in the list. */
export function row(a: Told, change: boolean, acknowledge: (id: number) => void): HTMLElement {
  const open = !a.acknowledged_utc;
  return h(open ? "li.alert.open" : "li.alert", { "data-id": a.id },
    h("div.alert-when", null, time(a.utc, near), h("div.soft", null, a.rule)),
    said(a),
    h("ul.alert-ways", { "aria-label": "Deliveries" }, a.deliveries.map(delivered)),
    h("div.alert-known", null,
      open ? (change ? h("button", { type: "button", onclick: () => acknowledge(a.id), "aria-label": `Acknowledge alert ${a.id}: ${a.summary}` }, "Acknowledge") : h("span.soft", null, "not acknowledged"))
        : h("span.soft", null, "acknowledged ", time(a.acknowledged_utc!, near), a.acknowledged_by ? ` by ${a.acknowledged_by}` : "")));
}

/** heldBack says what rules hold back. */
export const heldBack = (all: Held[]) =>
  h("ul.held", null, all.map((x) => h("li", null, h("b", null, x.rule), ` holds back ${x.count}, of which the latest is: `, x.latest.summary, " ", time(x.latest.utc, near))));
