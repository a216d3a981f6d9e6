// The last rows of a receiver's spectrum, and the lines of the picture that are made of them.

/** Speed is how fast the picture runs: so many rows make a line. */
export type Speed = 1 | 3 | 10;

export const mostLines = 1024; // that a painter keeps: a line is a pixel high, and no field is higher
const mostGaps = 32;
const mostRows = 2048; // that are kept for another speed: 3 min and 25 s, 2 MB
const lost = 2_000; // ms between two rows, here and there, from which on there is a gap: a slow page loses some rows of ten a second

/** Line is a line of the picture: the mean of some rows. */
export interface Line { number: number; utc: number; bins: Uint8Array; gap: number }

/** History keeps rows; memory is bounded. */
export class History {
  count = 0; // lines so far
  private rows: Uint8Array;
  private rowTimes = new Float64Array(mostRows);
  private rowCount = 0;
  private times = new Float64Array(mostLines);
  private sums: Float32Array;
  private summed = 0;
  private lastTime = 0;
  private gaps = new Set<number>(); // times of rows before which there are gaps
  private gap = 0; // before the line that is being made, ms
  private lastRow = 0; // its time
  private cameAt = 0; // ms of the page's clock

  constructor(readonly bins: number, public speed: Speed, private made: (line: Line) => void) {
    this.rows = new Uint8Array(mostRows * bins);
    this.sums = new Float32Array(bins);
  }

  /** row takes a row. */
  row(utc: number, bins: Uint8Array) {
    const came = performance.now();
    const at = this.rowCount++ % mostRows;
    // A recording that is heard faster than it sounds leaves rows out, but does not pause.
    if (this.cameAt && came - this.cameAt > lost && utc - this.lastRow > lost) this.gaps.add(utc);
    this.cameAt = came;
    this.lastRow = utc;
    if (this.gaps.size > mostGaps) this.gaps.delete(this.gaps.values().next().value!);
    this.rows.set(bins.subarray(0, this.bins), at * this.bins);
    this.rowTimes[at] = utc;
    this.add(utc, bins);
  }

  /** again makes all lines again, at a speed. */
  again(speed: Speed) {
    this.speed = speed;
    this.count = this.summed = this.lastTime = 0;
    this.sums.fill(0);
    for (let i = Math.max(0, this.rowCount - mostRows); i < this.rowCount; i++) {
      const at = i % mostRows;
      this.add(this.rowTimes[at], this.rows.subarray(at * this.bins, (at + 1) * this.bins));
    }
  }

  private add(utc: number, bins: Uint8Array) {
    if (this.gaps.has(utc)) this.gap = utc - this.lastTime;
    for (let i = 0; i < this.bins; i++) this.sums[i] += bins[i];
    if (++this.summed < this.speed) return;
    const mean = new Uint8Array(this.bins);
    for (let i = 0; i < this.bins; i++) mean[i] = Math.round(this.sums[i] / this.summed);
    this.sums.fill(0);
    this.summed = 0;
    const gap = this.gap;
    this.gap = 0;
    this.lastTime = utc;
    const number = this.count++;
    this.times[number % mostLines] = utc;
    this.made({ number, utc, bins: mean, gap });
  }

  /** latest is the time of the newest row; 0: there is none. */
  get latest() {
    return this.lastRow;
  }

  /** lineAt is where in lines a time is; the newest line ends at count. */
  lineAt(utc: number): number {
    const each = this.speed * 100; // ms a line, where none is known
    const oldest = Math.max(0, this.count - mostLines);
    if (this.count === 0) return 0;
    if (utc >= this.lastTime) return this.count + (utc - this.lastTime) / each;
    if (utc < this.time(oldest)) return oldest - (this.time(oldest) - utc) / each;
    let low = oldest, high = this.count - 1; // time(low) <= utc < time(high)
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.time(middle) <= utc) low = middle;
      else high = middle;
    }
    return low + 1 + (utc - this.time(low)) / Math.max(1, this.time(high) - this.time(low));
  }

  /** timeAt is the time of a place in lines; NaN if it is not kept. */
  timeAt(line: number): number {
    const n = Math.floor(line);
    return n < 0 || n >= this.count || n < this.count - mostLines ? NaN : this.time(n);
  }

  /** levelAt is the step of a bin in the newest row of a line; NaN if it is not kept. */
  levelAt(line: number, bin: number): number {
    const row = this.rowCount - 1 - Math.round((this.count - 1 - Math.floor(line)) * this.speed) - this.summed;
    if (bin < 0 || bin >= this.bins || row < 0 || row >= this.rowCount || row < this.rowCount - mostRows) return NaN;
    return this.rows[(row % mostRows) * this.bins + Math.floor(bin)];
  }

  private time(n: number): number {
    return this.times[n % mostLines];
  }
}
