// Which view is shown at which address.
import type { Maker, Place, View } from "./view.ts";

type Load = () => Promise<{ make: Maker }>;

const routes: [string, Load][] = [
  ["/", () => import("./views/now.ts")],
  ["/day", () => import("./views/day.ts")],
  ["/day/:date", () => import("./views/day.ts")],
  ["/charts", () => import("./views/charts.ts")],
  ["/chart/:chart", () => import("./views/chart.ts")],
  ["/texts", () => import("./views/texts.ts")],
  ["/text/:transmission", () => import("./views/text.ts")],
  ["/alerts", () => import("./views/alerts.ts")],
  ["/station", () => import("./views/station.ts")],
  ["/band", () => import("./views/band.ts")],
];

/** match finds the route of an address. */
function match(url: URL): { route: string; load: Load; place: Place } | null {
  const parts = url.pathname.split("/");
  for (const [route, load] of routes) {
    const names = route.split("/");
    if (names.length !== parts.length) continue;
    const at: Record<string, string> = {};
    if (names.every((n, i) => (n.startsWith(":") ? parts[i] !== "" && ((at[n.slice(1)] = decodeURIComponent(parts[i])), true) : n === parts[i])))
      return { route, load, place: { path: url.pathname, at, query: url.searchParams } };
  }
  return null;
}

let shown: { route: string; view: View } | null = null;
let turn = 0; // of moves, since a view may take a while to load

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
  const view = found ? await (await found.load()).make(found.place) : null;
  if (mine !== turn) {
    view?.close?.();
    return;
  }
  shown?.view.close?.();
  shown = view && found ? { route: found.route, view } : null;
  put(view, true);
}
