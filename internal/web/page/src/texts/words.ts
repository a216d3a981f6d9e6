// The language of searches, to show what was found: the station finds, and this marks the same words in a line or a whole text.
import type { TextChar, TextLine } from "../types.ts";

interface Term { words: string[]; prefix: boolean; garbled: boolean; not: boolean }

/** Range is where something was found in a line, in UTF-16 units; mayBe is the word that a garbled one may be. */
export interface Range { from: number; to: number; mayBe?: string }

const unsure = 0.9; // a character of a lower confidence is looked up as if it might be another one, as the station does
const word = /[\p{L}\p{N}\p{Mn}\p{Co}]+/gu;

/** fold makes small letters without accents. */
const fold = (s: string) => (/^[\x00-\x7f]*$/.test(s) ? s : s.normalize("NFD").replace(/\p{Mn}/gu, "")).toLowerCase();

/** parse reads a query. Of what the station refuses it makes what it can. */
export function parse(query: string): Term[] {
  const terms: Term[] = [];
  for (const [, signs, phrase, star, single] of query.matchAll(/([-~]*)(?:"([^"]*)"(\*?)|([^\s"]+))/gu)) {
    const text = phrase ?? single;
    const words = fold(text).match(word) ?? [];
    const t = { prefix: star === "*" || (phrase === undefined && text.endsWith("*")), garbled: signs.includes("~"), not: signs.includes("-") };
    if (t.garbled) words.forEach((w) => terms.push({ ...t, words: [w] }));
    else if (words.length) terms.push({ ...t, words });
  }
  return terms.filter((t) => !t.not);
}

interface Token { line: number; from: number; to: number; word: string }

/** find is where the words of a query are in some lines: an array of ranges for each line that has any. A phrase may go on in the
 * next line. */
export function find(query: string, lines: Pick<TextLine, "text" | "characters">[]): Map<number, Range[]> {
  const terms = parse(query);
  const found = new Map<number, Range[]>();
  if (!terms.length) return found;
  const tokens: Token[] = lines.flatMap((l, line) => [...l.text.matchAll(word)].map((m) => ({ line, from: m.index, to: m.index + m[0].length, word: fold(m[0]) })));
  const put = (line: number, r: Range) => found.set(line, [...(found.get(line) ?? []), r]);
  tokens.forEach((token, i) => {
    for (const t of terms) {
      const last = t.words.length - 1;
      if (t.words.every((w, k) => tokens[i + k] && (tokens[i + k].word === w || (t.prefix && k === last && tokens[i + k].word.startsWith(w))))) {
        for (const [line, r] of spans(tokens.slice(i, i + last + 1))) put(line, r);
      } else if (t.garbled && lines[token.line].characters && garbled(token, lines[token.line].characters!, t.words[0])) {
        put(token.line, { from: token.from, to: token.to, mayBe: t.words[0].toUpperCase() });
      }
    }
  });
  for (const [line, ranges] of found) found.set(line, tidy(ranges));
  return found;
}

/** spans are the ranges of words that follow each other, one a line. */
function spans(tokens: Token[]): Map<number, Range> {
  const all = new Map<number, Range>();
  for (const t of tokens) all.set(t.line, { from: all.get(t.line)?.from ?? t.from, to: t.to });
  return all;
}

/** tidy sorts ranges, and leaves out what another one covers. */
export function tidy(ranges: Range[]): Range[] {
  const out: Range[] = [];
  for (const r of [...ranges].sort((a, b) => a.from - b.from || b.to - a.to)) if (!out.length || r.from >= out.at(-1)!.to) out.push(r);
  return out;
}

/** garbled says that a word of a line may be another one: one of its doubtful characters is another one, none or a gap, or one
 * was lost. */
function garbled(token: Token, chars: TextChar[], sought: string): boolean {
  let at = 0;
  for (const c of chars) {
    const from = at - token.from;
    at += c.text.length;
    if (from < 0 || at > token.to || c.confidence >= unsure) continue;
    const [left, right] = [token.word.slice(0, from), token.word.slice(from + c.text.length)];
    const rest = sought.length - left.length - right.length;
    if (sought.startsWith(left) && sought.endsWith(right) && (rest === 1 || rest === 0)) return true;
    if (left === sought || right === sought) return true;
    if (c.alternatives?.some((a) => left + fold(a) + right === sought)) return true;
    if ([...sought].some((_, i) => sought.slice(0, i) + sought.slice(i + 1) === token.word)) return true;
  }
  return false;
}
