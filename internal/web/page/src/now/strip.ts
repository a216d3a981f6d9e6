// A receiver's strip: how it is, its spectrogram, and slips of what is sent.
import { frequency } from "../format.ts";
import { h } from "../html.ts";
import { now, seconds } from "../time.ts";
import type { Char, Level, Receiver } from "../types.ts";
import type { Drawing } from "./drawing.ts";
import { Field } from "./field.ts";
import type { Heard } from "./heard.ts";
import type { Speed } from "./history.ts";
import { decibels } from "./levels.ts";
import type { Listening, Wanted } from "./listen.ts";
import { Meter } from "./meter.ts";
import { Slips } from "./slips.ts";

const behind = 5_000; // ms from which on it is said to when a receiver has been heard
const nearly = 0.3; // a zoomed step

/** Doing is what a strip does with the view around it. */
export interface Doing {
  listening: Listening;
  choose(heard: Heard, from: HTMLElement): void;
  said(heard: Heard, line: string): void;
  heard(id: number): Heard | undefined;
}

/** Strip shows a receiver. */
export class Strip {
  readonly field: Field;
  readonly slips: Slips;
  private meter = new Meter();
  private fold = h("button.fold", { type: "button", "aria-expanded": "true", onclick: () => this.folded(!this.isFolded) });
  private band = h("span.figure.strip-band");
  private how = h("strong", { role: "status" });
  private clock = h("span.soft", { title: "how much the receiver's clock is fast or slow" });
  private late = h("span.soft");
  private listen = h("button", { type: "button", onclick: () => this.doing.listening.toggle(this.wanted()) }, "Listen");
  private black = h("input", { type: "range", min: -140, max: -20, step: 1, oninput: () => this.byHand() });
  private white = h("input", { type: "range", min: -140, max: 0, step: 1, oninput: () => this.byHand() });
  private auto = h("input", { type: "checkbox", checked: true, onchange: () => (this.auto.checked ? this.field.levels.follow() : this.byHand(), this.field.changed()) });
  private under: HTMLElement;
  readonly root: HTMLElement;

  constructor(public receiver: Receiver, private doing: Doing, speed: Speed, plain: boolean) {
    this.field = new Field(speed, plain, (t, from) => {
      const heard = doing.heard(t.transmission);
      if (heard) doing.choose(heard, from);
    });
    this.slips = new Slips(doing.choose, doing.said);
    const id = `strip-${receiver.number}`;
    const levels = h("details.levels", { ontoggle: () => this.sliders() }, h("summary", null, "Levels"),
      h("div.sheet", null, h("label.inline", null, this.auto, "Automatic"), h("label", null, "Darkest, dB", this.black), h("label", null, "Lightest, dB", this.white)));
    this.under = h("div.under", { id }, this.field.root, this.slips.root);
    this.fold.setAttribute("aria-controls", id);
    this.root = h("section.strip", { "aria-label": `Receiver ${receiver.name}` },
      h("div.strip-head", null, h("div.strip-name", null, h("h2", null, this.fold), this.band, h("span.state", null, this.how, this.meter.word, this.clock, this.late)),
        h("div.tools", null, this.meter.root,
          h("button", { type: "button", "aria-label": "Zoom out", title: "Zoom out (-)", onclick: () => this.zoom(1 / (1 + nearly)) }, "−"),
          h("button", { type: "button", "aria-label": "Zoom in", title: "Zoom in (+)", onclick: () => this.zoom(1 + nearly) }, "+"),
          levels, this.listen)),
      this.under);
    this.show(receiver);
  }

  /** wanted is all that the receiver hears. */
  wanted(): Wanted {
    const r = this.receiver;
    return r.iq ? { receiver: r.name, name: r.name, ...this.middle() } : { receiver: r.name, name: r.name };
  }

  /** middle is what lies around the middle of what is shown: I/Q cannot be heard as a whole. */
  private middle() {
    const { low, high } = this.field.zoom.range;
    const middle = (low + high) / 2, half = Math.min(1500, (high - low) / 2); // 3 kHz: a voice channel
    return { low_hz: Math.round(middle - half), high_hz: Math.round(middle + half) };
  }

  /** show shows how the receiver is. */
  show(r: Receiver) {
    this.receiver = r;
    this.fold.textContent = r.name;
    this.field.tune(r);
    const kHz = (hz: number) => (hz / 1000).toFixed(2);
    this.band.textContent = r.on_air ? `${kHz(r.low_hz)} – ${kHz(r.high_hz)} kHz` : `audio, ${r.low_hz.toFixed(0)} – ${r.high_hz.toFixed(0)} Hz`;
    this.band.title = [r.source, r.dial_hz ? `dial ${frequency(r.dial_hz, true)}` : "", r.dial_from].filter(Boolean).join(", ");
    const how = r.ended ? "ended" : r.connected ? "" : `not connected${r.error ? `: ${r.error}` : ""}${r.tries > 1 ? `; ${r.tries} tries` : ""}`;
    const clock = r.clock_ppm ? `clock ${r.clock_ppm > 0 ? "+" : "−"}${Math.abs(r.clock_ppm).toFixed(1)} ppm` : "";
    if (this.how.textContent !== how) this.how.textContent = how;
    this.clock.textContent = clock;
    this.tick();
    this.root.classList.toggle("off", !r.connected);
    this.level(r.connected ? r.level : undefined);
    this.listens();
  }

  /** tick says to when it has heard, if that is not now. */
  tick() {
    const latest = this.field.latest;
    const late = this.receiver.connected && latest && +now() - latest > behind ? `heard to ${seconds(new Date(latest))}` : "";
    if (this.late.textContent !== late) this.late.textContent = late;
  }

  level(l?: Level) {
    this.meter.show(l);
    this.receiver.level = l;
  }

  /** listens shows whether it is listened to. */
  listens() {
    const plays = this.doing.listening.plays(this.wanted());
    this.listen.textContent = plays ? "Stop" : "Listen";
    this.listen.setAttribute("aria-pressed", String(plays));
  }

  heard(heard: Heard, anew = false) {
    this.field.show(heard.t, heard.going && !heard.drawn);
    this.slips.show(heard, anew);
  }

  text(heard: Heard, chars: Char[]) {
    this.slips.text(heard, chars);
  }

  drawing(id: number): Drawing | undefined {
    return this.slips.drawing(id);
  }

  get isFolded() {
    return this.under.hidden;
  }

  folded(fold: boolean) {
    this.under.hidden = fold;
    this.fold.setAttribute("aria-expanded", String(!fold));
    this.root.classList.toggle("folded", fold);
  }

  zoom(factor: number, hz?: number) {
    this.field.zoom.by(factor, hz);
    this.listens();
  }

  /** sliders shows the levels that are in force. */
  private sliders() {
    this.black.value = String(Math.round(decibels(this.field.levels.black)));
    this.white.value = String(Math.round(decibels(this.field.levels.white)));
  }

  private byHand() {
    this.auto.checked = false;
    this.field.levels.set(Number(this.black.value), Number(this.white.value));
    this.field.changed();
  }

  close() {
    this.field.close();
    this.root.remove();
  }
}
