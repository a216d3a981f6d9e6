// Text with what was found in it marked, and its characters by confidence.
import { h } from "../html.ts";
import type { Match, TextChar } from "../types.ts";

/** Range is where something was found in a line, in UTF-16 units; mayBe is the word that a garbled one may be. */
interface Range { from: number; to: number; mayBe: string }

/** ranges are those of a line, in order, without those that begin in another one. */
function ranges(m: Pick<Match, "matches" | "may_be">): Range[] {
  const out: Range[] = [];
  const all = (m.matches ?? []).map(([from, to], i) => ({ from, to, mayBe: m.may_be?.[i] ?? "" }));
  for (const r of all.sort((a, b) => a.from - b.from)) if (!out.length || r.from >= out.at(-1)!.to) out.push(r);
  return out;
}

/** sure is the class of a confidence: sure-0 for characters of which fewer than half are right, none for those that are sure. */
const sure = (confidence: number) => (confidence < 0.5 ? "sure-0" : confidence < 0.75 ? "sure-1" : confidence < 0.9 ? "sure-2" : "");

const mark = (r: Range, text = "") => (r.mayBe ? h("mark.may-be", { title: `may be ${r.mayBe.toUpperCase()}` }, text) : h("mark", null, text));

/** marked is the text of a line as nodes, with what was found in <mark>. */
export function marked(m: Match): Node[] {
  const nodes: Node[] = [];
  let at = 0;
  for (const r of ranges(m)) {
    nodes.push(document.createTextNode(m.text.slice(at, r.from)), mark(r, m.text.slice(r.from, r.to)));
    at = r.to;
  }
  nodes.push(document.createTextNode(m.text.slice(at)));
  return nodes;
}

/** characters is the same for characters, with runs of like confidence together. */
export function characters(chars: TextChar[], found: Pick<Match, "matches" | "may_be">): Node[] {
  const nodes: Node[] = [];
  const places = ranges(found);
  let inside: { range: Range; mark: HTMLElement } | null = null;
  let run = "", runSure = "", at = 0, next = 0;
  const put = (n: Node) => (inside ? inside.mark.append(n) : nodes.push(n));
  const flush = () => {
    if (run) put(runSure ? h(`span.${runSure}`, null, run) : document.createTextNode(run));
    run = "";
  };
  for (const [text, confidence, others] of chars) {
    if (inside && at >= inside.range.to) {
      flush();
      inside = null;
    }
    if (!inside && next < places.length && at >= places[next].from) {
      flush();
      const range = places[next++];
      const m = mark(range);
      nodes.push(m);
      inside = { range, mark: m };
    }
    const s = text.trim() ? sure(confidence) : "";
    if (s && others?.length) {
      flush();
      put(h(`span.${s}`, { title: `or ${others.map((o) => o.trim() || "a gap").join(", ")}` }, text));
    } else {
      if (s !== runSure) flush();
      runSure = s;
      run += text;
    }
    at += text.length;
  }
  flush();
  return nodes;
}
