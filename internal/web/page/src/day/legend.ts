// What the marks of a day mean.
import { modeNumber } from "../format.ts";
import { h } from "../html.ts";
import type { Day } from "./shape.ts";

const sample = (classes: string, text: string, figure = "") =>
  h("li", null, h("span.day-sample", { "aria-hidden": "true" }, h(`span.day-mark.${classes}`, null, h("span.day-box.figure", { "data-figure": figure }))), text);

/** legend explains outlines, fillings, the scale of quality, and the lines of the day's modes. */
export function legend(day: Day): HTMLElement {
  const modes = new Set(day.lanes.flatMap((l) => [...(l.expected ?? []), ...(l.came ?? [])].map((x) => x.mode)));
  const scale = Array.from({ length: 6 }, (_, i) => h(`span.day-step.fill-${i}.figure`, { title: `quality ${Math.ceil((i * 100) / 6)} and more` }, String(Math.ceil((i * 100) / 6))));
  return h(
    "details.day-legend", { open: innerWidth > 640 },
    h("summary", null, "What the marks mean"),
    h("ul", null,
      sample("expected-came.filled.fill-5", "expected, and came", "97"),
      sample("unexpected.filled.fill-3", "on no programme", "60"),
      sample("several", "several, close together", "9×"),
      sample("expected-poor.filled.fill-1", "poor", "31"),
      sample("expected-missed", "missed", "×"),
      sample("expected-due", "still due"),
      sample("arriving", "still arriving", "…"),
      h("li", null, h("span.day-sample.hatched", { "aria-hidden": "true" }), "nothing was heard"),
      h("li", null, h("span.day-steps", null, scale), "quality, of 100"),
      [...modes].sort().map((m) => h("li", null, h(`span.day-sample.day-line.mode-line-${modeNumber(m)}`, { "aria-hidden": "true" }), m)),
    ),
  );
}
