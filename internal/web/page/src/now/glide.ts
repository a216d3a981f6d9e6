// Lines come when the network brings them; the picture moves evenly all the same.

const inHand = 1; // lines that the picture stays behind, so that it need not wait for a late one
const pull = 0.5; // a second: how much faster it moves a line behind; not to be seen, and even again within seconds
const tooFar = 8; // lines behind from which on it jumps, as after a pause

/** Glide is where the picture is, in lines. */
export class Glide {
  at = 0;
  private interval: number; // ms between lines, mean
  private last = 0;
  private moved = 0;

  constructor(expected: number, private even: boolean) {
    this.interval = expected;
  }

  /** came takes note of a line that came at a time in ms. */
  came(now: number) {
    const d = now - this.last;
    if (this.last && d < 4 * this.interval) this.interval += 0.05 * (d - this.interval);
    this.last = now;
  }

  /** move is where the picture is at a time in ms, when there are so many lines. */
  move(count: number, now: number): number {
    const behind = count - this.at;
    const passed = Math.min(now - this.moved, 1000);
    this.moved = now;
    if (!this.even || behind > tooFar || behind < 0) return (this.at = this.even ? Math.max(0, count - inHand) : count);
    const speed = (1 / this.interval) * Math.max(0, 1 + pull * (behind - inHand));
    return (this.at = Math.min(count, this.at + speed * passed));
  }
}
