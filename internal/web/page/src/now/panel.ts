// The panel of a transmission: what is known of it, its text or chart, and its sound.
import { frequency, modeMark, quality } from "../format.ts";
import { fill, h, type Child } from "../html.ts";
import { now, seconds, span, time } from "../time.ts";
import type { Char } from "../types.ts";
import { Drawing } from "./drawing.ts";
import type { Heard } from "./heard.ts";
import type { Listening, Wanted } from "./listen.ts";
import { what } from "./marks.ts";
import { Print } from "./print.ts";

/** sound is what is to be listened to of a transmission. */
export function sound({ t }: Heard): Wanted {
  return { receiver: t.receiver, name: what(t), low_hz: t.low_hz || t.hz - 100, high_hz: t.high_hz || t.hz + 100 }; // 100 Hz: a Morse signal and its keying
}

/** Panel shows a transmission beside the strips. */
export class Panel {
  private title = h("h2", { id: "now-panel", tabindex: -1 });
  private facts = h("dl.facts");
  private listen = h("button", { type: "button", onclick: () => this.heard && this.listening.toggle(sound(this.heard)) }, "Listen");
  private links = h("span.panel-links");
  private body = h("div.panel-body");
  private lasted = h("span.figure");
  private linked = "";
  readonly root = h("aside.panel", { "aria-labelledby": "now-panel", hidden: true });
  heard: Heard | null = null;
  private from: HTMLElement | null = null;
  private print: Print | null = null;
  drawing: Drawing | null = null;

  constructor(private listening: Listening, private changed: () => void) {
    fill(this.root,
      h("div.panel-head", null, this.title, h("button", { type: "button", "aria-label": "Close", title: "Close (Esc)", onclick: () => this.close() }, "×")),
      h("div.bar", null, this.listen, this.links), this.facts, this.body);
    this.root.addEventListener("keydown", (e) => {
      if (e.key !== "Escape") return;
      e.preventDefault();
      this.close();
    });
  }

  /** open shows a transmission; from has the focus when it is closed. */
  open(heard: Heard, from: HTMLElement) {
    this.from = from;
    this.root.hidden = false;
    this.heard = heard;
    this.renew();
    this.title.focus({ preventScroll: innerWidth > 900 });
    this.changed();
  }

  /** renew shows all of what is known of it again. */
  renew() {
    const heard = this.heard;
    if (!heard) return;
    this.drawing = this.print = null;
    if (heard.chart) {
      this.drawing = new Drawing(heard.t.transmission);
      if (heard.saved) void this.drawing.saved(heard.saved);
      else if (heard.rows) void this.drawing.join();
    } else {
      this.print = new Print(what(heard.t));
      this.print.add(heard.chars, false);
    }
    fill(this.body, this.drawing?.root, heard.chart || heard.chars.length ? this.print?.root : h("p.soft", null, "Nothing is printed of it so far."));
    this.show();
  }

  close() {
    if (!this.heard) return;
    this.heard = this.print = this.drawing = null;
    this.root.hidden = true;
    this.from?.focus({ preventScroll: true });
    this.changed();
  }

  text(chars: Char[]) {
    if (this.print && !this.print.root.isConnected) fill(this.body, this.print.root);
    this.print?.add(chars);
  }

  /** show shows what changed. */
  show() {
    if (!this.heard) return;
    const { t, going, drawn } = this.heard;
    const w = sound(this.heard);
    fill(this.title, modeMark(t.mode), " ", t.title || t.settings || t.mode);
    const plays = this.listening.plays(w);
    this.listen.textContent = plays ? "Stop listening" : "Listen";
    this.listen.disabled = !going && !plays;
    this.listen.setAttribute("aria-pressed", String(plays));
    this.link();
    const fact = (name: string, ...value: Child[]) => [h("dt", null, name), h("dd", null, value)];
    fill(this.facts,
      fact("Receiver", t.receiver),
      fact("Frequency", h("span.figure", null, frequency(t.hz, t.on_air))),
      t.low_hz && t.high_hz ? fact("Width", h("span.figure", null, `${Math.round(t.high_hz - t.low_hz)} Hz`)) : null,
      t.settings ? fact("Settings", t.settings) : null,
      t.programme_entry ? fact("Programme", t.programme_entry) : null,
      fact("Begun", time(t.begin_utc, seconds), t.time_from ? h("span.soft", null, ` by ${t.time_from}`) : null),
      fact(going ? "So far" : "Lasted", this.lasted),
      fact("Strength", h("span.figure", null, `${t.snr_db.toFixed(0)} dB`), " over noise"),
      going || !t.quality ? null : fact("Quality", quality(t.quality)),
      fact("State", going ? (drawn ? "its chart is being restored" : "on the air") : t.state === "cut" ? "cut off" : "complete"));
    this.tick();
  }

  /** tick shows how long it has lasted. */
  tick() {
    if (!this.heard) return;
    const { t, going, drawn } = this.heard;
    this.lasted.textContent = span(Math.max(0, (going && !drawn ? +now() : +new Date(t.end_utc)) - +new Date(t.begin_utc)) / 1000);
  }

  /** link makes links, but only others than are there: one may have the focus. */
  private link() {
    const { t, saved, chart } = this.heard!;
    const key = `${t.transmission} ${saved?.chart}`;
    if (key === this.linked) return;
    this.linked = key;
    fill(this.links, saved && h("a.button", { href: `/chart/${saved.chart}` }, "Open the chart"), h("a.button", { href: `/text/${t.transmission}` }, chart ? "Open the record" : "Open the text"));
  }
}
