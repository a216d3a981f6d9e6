// Text with what was found in it marked, and its characters by confidence.
import { h } from "../html.ts";
import type { TextChar } from "../types.ts";
import type { Range } from "./words.ts";

/** sure is the class of a confidence: sure-0 for characters of which fewer than half are right, none for those that are sure. */
export const sure = (confidence: number) => (confidence < 0.5 ? "sure-0" : confidence < 0.75 ? "sure-1" : confidence < 0.9 ? "sure-2" : "");

/** marked is a text as nodes, with ranges in <mark>. */
export function marked(text: string, ranges: Range[] = []): Node[] {
  const nodes: Node[] = [];
  const plain = (from: number, to: number) => from < to && nodes.push(document.createTextNode(text.slice(from, to)));
  let at = 0;
  for (const r of ranges) {
    plain(at, r.from);
    nodes.push(mark(r, text.slice(r.from, r.to)));
    at = r.to;
  }
  plain(at, text.length);
  return nodes;
}

/** characters is the same for characters, with runs of like confidence together. */
export function characters(chars: TextChar[], ranges: Range[] = []): Node[] {
  const nodes: Node[] = [];
  let run = "", runSure = "", at = 0, next = 0;
  let into: { append(n: Node): void } = { append: (n) => nodes.push(n) };
  let inside: Range | null = null;
  const flush = () => {
    if (run) into.append(runSure ? h(`span.${runSure}`, null, run) : document.createTextNode(run));
    run = "";
  };
  for (const c of chars) {
    if (inside && at >= inside.to) flush(), (inside = null), (into = { append: (n) => nodes.push(n) });
    if (!inside && next < ranges.length && at >= ranges[next].from) {
      flush();
      inside = ranges[next++];
      const m = mark(inside);
      nodes.push(m);
      into = m;
    }
    const s = c.text.trim() ? sure(c.confidence) : "";
    if (s && s !== "sure-2" && c.alternatives?.length) {
      flush();
      into.append(h(`span.${s}`, { title: `or ${c.alternatives.map((a) => a.trim() || "a gap").join(", ")}` }, c.text));
    } else {
      if (s !== runSure) flush();
      runSure = s;
      run += c.text;
    }
    at += c.text.length;
  }
  flush();
  return nodes;
}

const mark = (r: Range, text = "") => h(r.mayBe ? "mark.may-be" : "mark", { title: r.mayBe && `may be ${r.mayBe}` }, text);
