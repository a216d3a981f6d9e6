// Listening: one sound at a time, of a receiver or of what lies between two frequencies of it.
import { address } from "../api.ts";
import { fill, h } from "../html.ts";
import { notice } from "../view.ts";
import { Player } from "./player.ts";

/** Wanted is what is listened to. */
export interface Wanted { receiver: string; name: string; low_hz?: number; high_hz?: number }

const volumeKey = "ionoscribe.volume";
const stored = Number(localStorage.getItem(volumeKey) ?? 0.7);

/** Listening plays, and shows what. */
export class Listening {
  private player: Player | null = null;
  private volume = h("input", { type: "range", min: 0, max: 1, step: 0.01, value: stored, "aria-label": "Volume", oninput: () => this.loud() });
  private name = h("span.listening-name");
  private state = h("span.soft", { role: "status" });
  readonly root = h("div.listening", { role: "region", "aria-label": "Listening", hidden: true });
  private wanted: Wanted | null = null;

  constructor(private changed: () => void) {
    fill(this.root, this.name, this.state, h("label.inline", null, h("span.soft", null, "Volume"), this.volume), h("button", { type: "button", onclick: () => this.stop() }, "Stop"));
  }

  /** plays tells whether something is listened to. */
  plays(w: Wanted): boolean {
    return this.wanted !== null && this.wanted.receiver === w.receiver && this.wanted.low_hz === w.low_hz && this.wanted.high_hz === w.high_hz;
  }

  /** toggle listens, or stops if it is what is heard. */
  toggle(w: Wanted) {
    const was = this.plays(w);
    this.stop();
    if (was) return;
    this.wanted = w;
    const from = address(`/api/receivers/${encodeURIComponent(w.receiver)}/sound`, { low_hz: w.low_hz, high_hz: w.high_hz });
    this.player = new Player(from, Number(this.volume.value), () => (this.state.textContent = ""), (why) => this.lost(w, why));
    this.name.textContent = `Listening to ${w.name}`;
    this.state.textContent = "waiting for sound";
    this.root.hidden = false;
    this.changed();
  }

  /** stop ends the sound and its request. */
  stop() {
    if (!this.wanted) return;
    this.wanted = null;
    this.player?.close();
    this.player = null;
    this.root.hidden = true;
    this.changed();
  }

  private lost(w: Wanted, why: string) {
    if (this.wanted !== w) return;
    notice(`${w.name} is not to be heard now: ${why}.`, true);
    this.stop();
  }

  private loud() {
    this.player?.volume(Number(this.volume.value));
    localStorage.setItem(volumeKey, this.volume.value);
  }
}
