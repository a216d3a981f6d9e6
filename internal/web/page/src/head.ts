// The head of the page: the station's name, its views, UTC on a scale of 24 hours like the frame of a sea chart.
import { get } from "./api.ts";
import { fill, h, svg } from "./html.ts";
import { now as clockNow, seconds, setNow } from "./time.ts";
import type { Now } from "./types.ts";

const views: [string, string, string][] = [
  ["/", "Now", "n"],
  ["/day", "Day", "d"],
  ["/charts", "Charts", "c"],
  ["/texts", "Texts", "t"],
  ["/alerts", "Alerts", "l"],
  ["/station", "Station", "s"],
  ["/band", "Band", "b"],
];

/** viewKeys are the shortcuts of the views: g, then the letter. */
export const viewKeys = views.map(([path, name, key]) => ({ path, name, key }));

const links = views.map(([path, name]) => h("a", { href: path }, name));

/** mark marks the link of the view at a path. */
export function mark(path: string) {
  const first = "/" + path.split("/")[1].replace(/^chart$/, "charts").replace(/^text$/, "texts");
  links.forEach((a) => (a.getAttribute("href") === first ? a.setAttribute("aria-current", "page") : a.removeAttribute("aria-current")));
}

/** head fills the head. */
export function head(e: HTMLElement) {
  const name = h("a.station", { href: "/" }, "Ionoscribe");
  const link = h("span.connection", { role: "status" });
  const now = h("time.utc");
  const scale = hours();
  fill(
    e,
    h("div.heading", null, name, h("nav", { "aria-label": "Views" }, links), link, now, h("button.help", { type: "button", "aria-label": "Shortcuts", title: "Shortcuts (?)", onclick: () => document.dispatchEvent(new CustomEvent("ionoscribe:help")) }, "?")),
    scale.root,
  );
  const tick = () => {
    const t = clockNow();
    now.textContent = seconds(t);
    now.setAttribute("datetime", t.toISOString());
    scale.move(t);
  };
  tick();
  setInterval(tick, 1000);
  document.addEventListener("ionoscribe:connection", (c) => {
    const lost = (c as CustomEvent).detail === "lost";
    link.textContent = lost ? "no connection" : "";
    link.classList.toggle("bad", lost);
  });
  get<Now>("/api/now").then((n) => {
    setNow(n.utc);
    if (n.station) name.textContent = n.station;
    if (n.place) name.title = n.place;
  }, () => setNow()); // the view says what is wrong
}

/** hours is the scale of the day: a segment an hour, filled and empty in turns, and where it is now. */
function hours() {
  const root = svg("svg.hours", { viewBox: "0 0 1440 6", preserveAspectRatio: "none", "aria-hidden": "true" });
  for (let i = 0; i < 24; i++) root.append(svg(i % 2 ? "rect.odd" : "rect.even", { x: i * 60, y: 0, width: 60, height: 6 }));
  const needle = svg("rect.needle", { y: 0, width: 4, height: 6 });
  root.append(needle);
  return {
    root,
    move: (t: Date) => needle.setAttribute("x", String(t.getUTCHours() * 60 + t.getUTCMinutes() - 2)),
  };
}
