// A transmission that is still arriving: the archive has what was written so far, and the state of the air the latest text.
import type { Char } from "../types.ts";
import type { Line } from "./transcript.ts";

const mostTail = 4000; // characters of text that the state has at most; a text that is shorter is whole

/** join says which lines take the place of those that are kept, and from which number on, so that the latest text ends them. */
export function join(kept: Line[], tail: Char[] | undefined): { lines: Line[]; from: number } {
  if (!tail?.length) return { lines: [], from: kept.length };
  const latest: Line[] = [{ begin_utc: "", text: "", chars: [] }];
  for (const [text, confidence] of tail) {
    if (text === "\n") latest.push({ begin_utc: "", text: "", chars: [] });
    else {
      const l = latest.at(-1)!;
      l.text += text;
      l.chars.push([text, confidence]);
    }
  }
  const whole = tail.length < mostTail;
  if (!whole) latest.shift(); // it begins somewhere in a line
  const from = whole ? 0 : meets(kept, latest);
  latest.forEach((l, i) => (l.begin_utc = kept[from + i]?.begin_utc ?? ""));
  return { lines: latest, from };
}

/** meets is the line of those that are kept with which the latest ones begin: the last place where two in a row are the same. */
function meets(kept: Line[], latest: Line[]): number {
  const same = (a?: Line, b?: Line) => a?.text.trimEnd() === b?.text.trimEnd();
  for (let n = kept.length - 1; n >= 0; n--) {
    if (same(kept[n], latest[0]) && (n + 1 >= kept.length || same(kept[n + 1], latest[1]))) return n;
  }
  return kept.length;
}
