// station.toml in an editor: with line numbers, and what is wrong at its line.
import { address, Refused, send } from "../api.ts";
import { fill, h } from "../html.ts";
import { notice } from "../view.ts";
import { copier, problems } from "./form.ts";
import { problemsIn, type Config, type ConfigProblem, type Written } from "./shape.ts";

const rests = 500; // ms without typing before the text is checked

/** Editor is for those who may change station.toml. What somebody types stays when the file is another one by then. */
export class Editor {
  private readonly numbers = h("pre.toml-numbers", { "aria-hidden": "true" });
  private readonly text = h("textarea.toml-text", {
    id: "toml", wrap: "off", spellcheck: "false", autocapitalize: "off", autocomplete: "off", "aria-describedby": "toml-told",
    oninput: () => this.typed(), onscroll: () => (this.numbers.scrollTop = this.text.scrollTop),
  });
  private readonly told = h("div", { id: "toml-told", role: "status" });
  private readonly save = h("button.primary", { type: "button", disabled: true, onclick: () => this.write() }, "Save station.toml");
  private readonly back = h("button", { type: "button", disabled: true, onclick: () => this.take() }, "Discard changes");
  private config: Config = { problems: [], writable: false };
  private taken: Config | null = null; // what was in the field before somebody typed
  private timer = 0;
  private turn = 0;
  readonly root = h("div.toml", null,
    h("label", { for: "toml" }, "Text of station.toml"),
    h("div.toml-field", null, this.numbers, this.text),
    this.told,
    h("div.bar", null, this.save, this.back));

  constructor(private readonly done: () => void) {}

  private get changed() {
    return this.taken !== null && this.text.value !== this.taken.text;
  }

  /** show takes the file as it is now, unless somebody has typed. */
  show(c: Config) {
    this.config = c;
    if (this.taken && this.taken.sha256 === undefined && this.taken.text === c.text) { // it was written from here
      this.taken = c;
      if (this.changed) void this.check();
    }
    if (!this.changed) {
      if (c.sha256 !== this.taken?.sha256) this.take();
      this.tell(c.problems);
    } else if (c.sha256 !== this.taken?.sha256) {
      fill(this.told, h("p.error", null, "The file was changed meanwhile. Copy what you need, then discard your changes to see it as it is."));
      this.save.disabled = true;
    }
  }

  private take() {
    this.taken = this.config;
    this.text.value = this.config.text ?? "";
    this.save.disabled = this.back.disabled = true;
    this.tell(this.config.problems);
  }

  focus() {
    this.text.focus();
  }

  private typed() {
    clearTimeout(this.timer);
    this.turn++;
    this.save.disabled = true;
    this.back.disabled = !this.changed;
    this.number([]);
    if (this.changed) this.timer = window.setTimeout(() => this.check(), rests);
    else this.tell(this.config.problems);
  }

  private get body() {
    return { text: this.text.value, was: this.taken!.sha256 };
  }

  private async check() {
    if (this.taken?.sha256 === undefined) return; // it has just been written, and is checked when the station shows it
    const mine = ++this.turn;
    try {
      await send<Written>("PUT", address("/api/station/config", { dry_run: true }), this.body);
      if (mine !== this.turn) return;
      this.tell([]);
      this.save.disabled = false;
    } catch (e) {
      if (mine === this.turn) this.refused(e);
    }
  }

  private async write() {
    this.save.disabled = true;
    const text = this.text.value;
    try {
      const w = await send<Written>("PUT", "/api/station/config", this.body);
      if (!w.written) return fill(this.told, h("p.error", null, `${w.why ?? "It could not be written"}. Put the text there yourself. `), copier(this.text.value));
      this.taken = { ...this.taken!, text, sha256: undefined };
      notice("station.toml is saved; the station takes it up.");
      this.done();
    } catch (e) {
      this.refused(e);
    }
  }

  private refused(e: unknown) {
    const all = problemsIn(e);
    if (all.length) this.tell(all);
    else fill(this.told, h("p.error", null, e instanceof Refused ? e.message : String(e)));
  }

  /** tell shows what is wrong, and marks the lines. */
  private tell(all: ConfigProblem[]) {
    this.number(all.map((p) => p.line));
    if (all.length) this.text.setAttribute("aria-invalid", "true");
    else this.text.removeAttribute("aria-invalid");
    fill(this.told, all.length ? problems(all, (p) => this.to(p)) : h("p.soft", null, this.changed ? "Nothing is wrong with it." : this.config.writable ? "Nothing is wrong with it. Changes are taken up when they are saved." : "The station cannot write this file: change it by hand."));
  }

  private number(wrong: number[]) {
    const count = this.text.value.split("\n").length;
    const lines = (from: number, to: number) => Array.from({ length: Math.max(0, to - from) }, (_, i) => `${from + i}\n`).join(""); // one node: there are hundreds
    let from = 1;
    this.numbers.replaceChildren();
    for (const n of [...new Set(wrong)].sort((a, b) => a - b)) {
      if (n < from || n > count) continue;
      this.numbers.append(lines(from, n), h("b", null, `▸${n}\n`));
      from = n + 1;
    }
    this.numbers.append(lines(from, count + 1));
    this.numbers.scrollTop = this.text.scrollTop;
  }

  /** to puts the cursor at a mistake. Its column counts bytes. */
  private to(p: ConfigProblem) {
    const lines = this.text.value.split("\n");
    const line = lines[p.line - 1] ?? "";
    const column = new TextDecoder().decode(new TextEncoder().encode(line).slice(0, Math.max(0, p.column - 1))).length;
    const at = lines.slice(0, p.line - 1).reduce((n, l) => n + l.length + 1, 0) + column;
    this.text.focus();
    this.text.setSelectionRange(at, at);
    this.text.scrollTop = (this.text.scrollHeight * Math.max(0, p.line - 4)) / lines.length;
  }

  close() {
    clearTimeout(this.timer);
  }
}
