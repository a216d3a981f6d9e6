// Which levels are the darkest and the lightest shade. Levels are in steps of the rows: v = 2·(dB + 140).

/** decibels is the level of a step, over a full-scale sine. */
export const decibels = (step: number) => step / 2 - 140;
/** stepOf is the step of a level in dB. */
export const stepOf = (db: number) => 2 * (db + 140);

// As in the survey's picture: noise is nearly black, the strongest bins nearly white, and there are 25 dB between at least.
const noiseShare = 0.3;
const strongShare = 0.995;
const belowNoise = 6; // steps: 3 dB
const leastRange = 50; // steps: 25 dB
const slowness = 80; // rows, some 8 s, in which levels follow: slower than a fade, quicker than an evening

/** Levels follow what is heard, unless they are set by hand. */
export class Levels {
  black = 0;
  white = 255;
  automatic = true;
  private noise = NaN;
  private strong = NaN;
  private counts = new Uint32Array(256);

  /** hear takes a row. */
  hear(row: Uint8Array) {
    this.counts.fill(0);
    for (const v of row) this.counts[v]++;
    const noise = this.share(noiseShare * row.length);
    const strong = this.share(strongShare * row.length);
    const part = isNaN(this.noise) ? 1 : 1 / slowness;
    this.noise = part === 1 ? noise : this.noise + part * (noise - this.noise);
    this.strong = part === 1 ? strong : this.strong + part * (strong - this.strong);
    if (this.automatic) this.follow();
  }

  /** follow goes back to automatic levels. */
  follow() {
    this.automatic = true;
    if (isNaN(this.noise)) return;
    this.black = this.noise - belowNoise;
    this.white = Math.max(this.strong, this.black + leastRange);
  }

  /** set sets levels by hand, in dB; the lightest is 3 dB above the darkest at least. */
  set(blackDB: number, whiteDB: number) {
    this.automatic = false;
    this.black = stepOf(blackDB);
    this.white = Math.max(stepOf(whiteDB), this.black + belowNoise);
  }

  /** forget begins anew, as for another frequency. */
  forget() {
    this.noise = this.strong = NaN;
  }

  private share(n: number): number {
    let v = 0;
    for (let sum = this.counts[0]; sum <= n && v < 255; sum += this.counts[v]) v++;
    return v;
  }
}
