// The versions of a chart: as it was received, and as persons have drawn it.
import { Refused } from "../api.ts";
import { h } from "../html.ts";
import { moment, time } from "../time.ts";
import type { ChartDetail, ChartVersion } from "../types.ts";
import { notice } from "../view.ts";
import { inWords } from "./legend.ts";
import { remove } from "./requests.ts";
import { link, type Spot } from "./spot.ts";

/** versions lists them; gone is called after one was deleted. */
export function versions(d: ChartDetail, spot: Spot, may: boolean, gone: () => void): HTMLElement {
  const list = d.version_list;
  if (list.length < 2) return h("p.soft", null, "There is one version of this chart: as it was received.");
  const away = async (v: ChartVersion) => {
    if (!confirm(`Delete the version of ${moment(new Date(v.made_utc))} (${inWords(v.changes)})? It cannot be had back.`)) return;
    try {
      await remove(v.chart);
      gone();
    } catch (e) {
      notice(e instanceof Refused ? e.message : String(e), true);
    }
  };
  const item = (v: ChartVersion) => {
    const here = v.chart === d.chart;
    const byHand = Object.keys(v.changes).length > 0;
    return h("li", { "aria-current": here ? "true" : null },
      here ? h("strong", null, time(v.made_utc), ", this one") : h("a", { href: link({ ...spot, chart: v.chart, tool: "look" }) }, time(v.made_utc)),
      h("span.soft", null, `: ${inWords(v.changes)}${v.latest ? "; the latest" : ""}. `),
      !here && h("a", { href: link({ ...spot, tool: "compare", with: v.chart }) }, "Compare"),
      !here && may && byHand && [" ", h("button.chart-delete", { type: "button", "aria-label": `Delete the version of ${moment(new Date(v.made_utc))}`, onclick: () => away(v) }, "Delete")]);
  };
  return h("section.chart-versions", null, h("h2", null, "Versions"), h("ol", null, list.map(item)));
}
