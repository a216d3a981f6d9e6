// Which view is shown at which address.
import type { Maker, Place, View } from "./view.ts";
import { make as alerts } from "./views/alerts.ts";
import { make as band } from "./views/band.ts";
import { make as chart } from "./views/chart.ts";
import { make as charts } from "./views/charts.ts";
import { make as day } from "./views/day.ts";
import { make as now } from "./views/now.ts";
import { make as station } from "./views/station.ts";
import { make as text } from "./views/text.ts";
import { make as texts } from "./views/texts.ts";

const routes: [string, Maker][] = [
  ["/", now],
  ["/day", day],
  ["/day/:date", day],
  ["/charts", charts],
  ["/chart/:chart", chart],
  ["/texts", texts],
  ["/text/:transmission", text],
  ["/alerts", alerts],
  ["/station", station],
  ["/band", band],
];

/** match finds the route of an address. */
function match(url: URL): { route: string; make: Maker; place: Place } | null {
  const parts = url.pathname.split("/");
  for (const [route, make] of routes) {
    const names = route.split("/");
    if (names.length !== parts.length) continue;
    const at: Record<string, string> = {};
    if (names.every((n, i) => (n.startsWith(":") ? parts[i] !== "" && ((at[n.slice(1)] = decodeURIComponent(parts[i])), true) : n === parts[i])))
      return { route, make, place: { path: url.pathname, at, query: url.searchParams } };
  }
  return null;
}

let shown: { route: string; view: View } | null = null;
let turn = 0; // of moves, since what a view shows may take a while to come

/** current is the view that is shown. */
export const current = () => shown?.view ?? null;

/** show shows the view of the present address by means of put. */
export async function show(put: (view: View | null, moved: boolean) => void) {
  const mine = ++turn;
  const found = match(new URL(location.href));
  if (shown && found && shown.route === found.route && shown.view.change?.(found.place)) {
    put(shown.view, false);
    return;
  }
  const view = found ? await found.make(found.place) : null;
  if (mine !== turn) {
    view?.close?.();
    return;
  }
  shown?.view.close?.();
  shown = view && found ? { route: found.route, view } : null;
  put(view, true);
}
