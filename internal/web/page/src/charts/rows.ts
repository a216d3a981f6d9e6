// Where the rows of a wall are: cards side by side, and a heading above the first of each group.

/** Rows are those of some items; each group begins a row. Heights and tops are in CSS pixels. */
export class Rows {
  readonly first: number[] = []; // item of each row; a heading has that of the row below
  readonly heading: boolean[] = [];
  readonly top: number[] = [];
  height = 0;
  private items = 0;

  constructor(readonly columns: number, private cardHeight: number, private headingHeight: number, private group: (i: number) => string) {}

  get count() {
    return this.first.length;
  }

  /** extend takes items up to count in, and returns the first row that is another than before. */
  extend(count: number): number {
    let i = this.items;
    let from = this.count;
    if (from && !this.heading[from - 1]) { // it may have had room left
      i = this.first[from - 1];
      from--;
      this.height = this.top[from];
      this.first.length = this.heading.length = this.top.length = from;
    }
    let last = i ? this.group(i - 1) : null;
    while (i < count) {
      const g = this.group(i);
      if (g !== last && g) this.add(i, true);
      last = g;
      this.add(i, false);
      for (let n = 0; n < this.columns && i < count && this.group(i) === g; n++) i++;
    }
    this.items = count;
    return from;
  }

  private add(i: number, heading: boolean) {
    this.first.push(i);
    this.heading.push(heading);
    this.top.push(this.height);
    this.height += heading ? this.headingHeight : this.cardHeight;
  }

  /** end is the item after a row's last one. */
  end(row: number): number {
    return row + 1 < this.count ? this.first[row + 1] : this.items;
  }

  /** at is the row at a height. */
  at(y: number): number {
    return last(this.top, (t) => t <= y);
  }

  /** of is the row of cards that an item is in. */
  of(item: number): number {
    return last(this.first, (f) => f <= item); // a heading stands before the row that has the same item
  }

  /** beside is the item in the same column of the next row of cards up (-1) or down (1), or the item itself. */
  beside(item: number, step: number): number {
    const row = this.of(item);
    let to = row + step;
    if (this.heading[to]) to += step;
    if (to < 0 || to >= this.count) return item;
    return Math.min(this.first[to] + item - this.first[row], this.end(to) - 1);
  }
}

/** last is the last index whose value fits, where all that fit come first; 0 if none does. */
function last(values: number[], fits: (v: number) => boolean): number {
  let low = 0, high = values.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (fits(values[middle])) low = middle;
    else high = middle - 1;
  }
  return Math.max(0, low);
}
