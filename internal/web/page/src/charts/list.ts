// The charts of a filter, as they are loaded by key, newest first. Of all that have been listed it keeps number and time, which are
// 12 bytes; what else is known of them is kept of some pages, and asked again by the page's key.
import type { Query } from "../api.ts";
import type { Chart } from "../types.ts";
import { list } from "./requests.ts";

const page = 100; // charts that are asked at once: more than a screen has
const mostPages = 30; // that are kept: several screens of the largest size

/** Ask is how a page comes. */
export type Ask = typeof list;

export class List {
  count = 0;
  ended = false;
  total: number | undefined; // if the station said
  private numbers = new Int32Array(1024);
  private begun = new Float64Array(1024);
  private keys: (string | undefined)[] = [undefined]; // of each page; the first has none
  private starts: number[] = [0]; // index of each page's first chart
  private kept = new Map<number, Chart[]>(); // by page, the one that was used last at the end
  private asked = new Map<number, Promise<void>>();

  constructor(private query: Query, private ask: Ask = list) {}

  chartNumber = (i: number) => this.numbers[i];
  begin = (i: number) => this.begun[i];

  /** more loads the next page. */
  more(): Promise<void> {
    return this.ended ? Promise.resolve() : this.load(this.keys.length - 1);
  }

  /** at is what is known of a chart, or null until then is called. */
  at(i: number, then: () => void): Chart | null {
    const p = this.pageOf(i);
    const known = this.kept.get(p);
    if (known) {
      this.kept.delete(p);
      this.kept.set(p, known);
      return known[i - this.starts[p]] ?? null;
    }
    this.load(p).then(then, () => {});
    return null;
  }

  /** put replaces what is known of a chart. */
  put(i: number, c: Chart) {
    const p = this.pageOf(i);
    const known = this.kept.get(p);
    if (known) known[i - this.starts[p]] = c;
  }

  /** forget forgets what is known of the charts, but not which there are; it may have changed. */
  forget() {
    this.kept.clear();
  }

  private pageOf(i: number): number {
    let low = 0, high = this.starts.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.starts[middle] <= i) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  private load(p: number): Promise<void> {
    let asked = this.asked.get(p);
    if (!asked) {
      asked = this.ask({ ...this.query, before: this.keys[p], limit: page }).then((got) => {
        if (p === 0) this.total = got.total;
        this.take(p, got.charts, got.next);
      }).finally(() => this.asked.delete(p));
      this.asked.set(p, asked);
    }
    return asked;
  }

  private take(p: number, charts: Chart[], next?: string) {
    if (p === this.keys.length - 1 && !this.ended) {
      this.grow(this.count + charts.length);
      charts.forEach((c, k) => {
        this.numbers[this.count + k] = c.chart;
        this.begun[this.count + k] = Date.parse(c.begin_utc);
      });
      this.count += charts.length;
      if (next && charts.length) {
        this.keys.push(next);
        this.starts.push(this.count);
      } else this.ended = true;
    }
    this.kept.set(p, charts);
    if (this.kept.size > mostPages) this.kept.delete(this.kept.keys().next().value!);
  }

  private grow(n: number) {
    if (n <= this.numbers.length) return;
    const size = Math.max(n, 2 * this.numbers.length);
    const numbers = new Int32Array(size), begun = new Float64Array(size);
    numbers.set(this.numbers);
    begun.set(this.begun);
    this.numbers = numbers;
    this.begun = begun;
  }
}
