// Disk, queue and versions, as lists of names and values.
import { bytes } from "../format.ts";
import { h, svg, type Child } from "../html.ts";
import { moment, span, time } from "../time.ts";
import type { Station } from "./shape.ts";

const list = (rows: [string, Child][]) => h("dl.station-facts", null, rows.map(([name, value]) => h("div", null, h("dt", null, name), h("dd", null, value))));

/** disk tells what is free, and how long it lasts at the present rate. */
export function disk(s: Station) {
  const d = s.disk;
  if (!d) return h("p.error", null, "The disk cannot be looked at.");
  const used = 1 - d.free_bytes / Math.max(1, d.total_bytes);
  return [
    svg("svg.disk-bar", { viewBox: "0 0 100 4", preserveAspectRatio: "none", role: "img", "aria-label": `${(100 * used).toFixed(0)} % of the disk are used` },
      svg("rect.disk-all", { width: 100, height: 4 }), svg("rect.disk-used", { width: 100 * used, height: 4 })),
    list([
      ["Free", `${bytes(d.free_bytes)} of ${bytes(d.total_bytes)}`],
      ["At the present rate", lasts(d)],
      ["Archive", bytes(s.archive.bytes)],
    ]),
  ];
}

const never = 50 * 365; // days: nobody plans so far ahead

function lasts(d: NonNullable<Station["disk"]>): string {
  if (d.filling_bytes_a_day === undefined) return "known ten minutes after the start";
  const over = `measured over ${span(d.measured_seconds)}`;
  if (d.filling_bytes_a_day <= 0) return `the disk does not fill; ${over}`;
  const days = d.free_bytes / d.filling_bytes_a_day;
  const rate = `${bytes(d.filling_bytes_a_day)} a day, ${over}`;
  return days > never ? `it lasts for decades; ${rate}` : `it lasts ${span(days * 86_400)}; ${rate}`;
}

/** queue tells what waits to be saved, and what was given up. */
export function queue(s: Station) {
  const lost = s.archive.lost_rows || s.health.charts_lost;
  return list([
    ["Charts to be saved", String(s.health.charts_waiting)],
    ["Rows to be written", `${s.archive.pending_rows}; ${s.archive.rows} are written`],
    ["Written last", s.archive.committed_utc ? time(s.archive.committed_utc) : "nothing yet"],
    ["Given up", lost ? h("span.bad", null, `${s.archive.lost_rows} rows, ${s.health.charts_lost} charts`) : "nothing"],
  ]);
}

/** versions tells of the program. */
export const versions = (s: Station) =>
  list([
    ["Ionoscribe", s.version || "of unknown version"],
    ["Runs since", time(s.began_utc, moment)],
    ["Interface", h("a", { href: "/api/openapi.json" }, "OpenAPI 3.1")],
  ]);
