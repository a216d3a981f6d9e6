// The tools and fields with which a chart is put right.
import { h } from "../html.ts";
import type { Changes } from "../types.ts";
import { none, type Draft } from "./draft.ts";
import { ppm, sizeOf, wrap, type Received } from "./geometry.ts";
import { Levels } from "./levels.ts";
import type { Tool } from "./spot.ts";

export interface Does { choose(t: Tool): void; save(): void; finished(): void }

const tools: [Tool, string, string][] = [
  ["move", "Move", "A drag moves the chart on the screen."],
  ["start", "Line start", "Drag the chart sideways until its edge is at the edge; ← and → move it by a pixel, with Shift by ten."],
  ["lean", "Lean", "Drag the lower part sideways; the top stays. ← and → move the bottom by a pixel, with Shift by ten."],
];

const says = {
  restored: "What you see is restored, as it is saved.",
  plain: "What you see is drawn by the station without restoration.",
  bent: "The station is drawing…",
};

export class MendPanel {
  readonly root: HTMLElement;
  readonly levels: Levels;
  private state = h("p.soft", { role: "status" });
  private trouble = h("p.error", { role: "alert" });
  private hint = h("p.soft.chart-hint");
  private picks: HTMLButtonElement[];
  private undo: HTMLButtonElement;
  private redo: HTMLButtonElement;
  private reset: HTMLButtonElement;
  private keep: HTMLButtonElement;
  private finished: HTMLButtonElement;
  private ioc: HTMLSelectElement;
  private fields: [HTMLInputElement, () => string][] = [];
  private boxes: [HTMLInputElement, () => boolean][] = [];

  constructor(private draft: Draft, private r: Received, private may: boolean, does: Does) {
    const button = (text: string, run: () => void, title = "") => h("button", { type: "button", onclick: run, title }, text);
    this.picks = tools.map(([t, name]) => button(name, () => does.choose(t)));
    this.undo = button("Undo", () => draft.undo(), "u");
    this.redo = button("Redo", () => draft.redo(), "Shift u");
    this.reset = button("As received", () => draft.put(none));
    this.finished = button("Show it restored", does.finished, "as it would be saved; this takes the station longer");
    this.keep = h("button", { type: "button", class: "primary", onclick: does.save }, "Save as a new version");
    this.ioc = h("select", { onchange: () => draft.put({ ioc: Number(this.ioc.value) === r.ioc ? undefined : Number(this.ioc.value) }) }, [288, 576].map((n) => h("option", { value: n }, n)));
    this.levels = new Levels((black, white, on) => draft.put({ black: black || undefined, white: white === 1 ? undefined : white }, on), () => draft.rest());
    const width = () => sizeOf(r, draft.now).width;
    this.root = h("section.chart-mend", { "aria-label": "Put right by hand" },
      h("h2", null, "Put right by hand"),
      h("div.chart-ways", { role: "group", "aria-label": "What a drag does" }, this.picks), this.hint,
      h("div.chart-fields", null,
        this.number("To the left, pixels", "1", () => (draft.now.shift ?? 0).toFixed(1), (v) => ({ shift: wrap(v, width()) })),
        this.number("Clock error, ppm", "0.1", () => ppm(r, draft.now).toFixed(2), (v) => ({ clock_ppm: v })),
        this.number("Lines a minute", "any", () => String(draft.now.lpm ?? r.lpm), (v) => ({ lpm: v > 0 && v !== r.lpm ? v : undefined })),
        h("label", null, "Index of cooperation", this.ioc)),
      h("div.chart-row", null,
        this.box("Swap black and white", () => Boolean(draft.now.invert), (invert) => ({ invert })),
        this.box("Restoration", () => !draft.now.plain, (on) => ({ plain: !on }))),
      this.levels.root,
      h("div.chart-row", null, this.undo, this.redo, this.reset),
      this.state, this.trouble,
      h("div.chart-row", null, this.finished, this.keep),
      !may && h("p.soft", null, "You may try, but to save, the role “change” is needed."));
    this.show("restored", false);
  }

  /** choose shows which tool is taken. */
  choose(t: Tool) {
    tools.forEach(([name, , hint], n) => {
      this.picks[n].setAttribute("aria-pressed", String(name === t));
      if (name === t) this.hint.textContent = hint;
    });
  }

  show(state: keyof typeof says, changed: boolean) {
    this.state.textContent = says[state];
    for (const [e, value] of this.fields) if (document.activeElement !== e) e.value = value();
    for (const [e, on] of this.boxes) e.checked = on();
    this.ioc.value = String(this.draft.now.ioc ?? this.r.ioc);
    this.levels.show(this.draft.now.black ?? 0, this.draft.now.white ?? 1);
    this.undo.disabled = !this.draft.undoable;
    this.redo.disabled = !this.draft.redoable;
    this.reset.disabled = Object.keys(this.draft.now).length === 0;
    this.keep.disabled = !changed || !this.may;
    this.finished.disabled = state === "restored" || Boolean(this.draft.now.plain);
  }

  /** busy says that the station restores, which takes a while. */
  busy(on: boolean) {
    this.finished.disabled ||= on;
    this.keep.disabled ||= on;
    if (on) this.state.textContent = "The station draws the chart with restoration; that may take a minute.";
  }

  fault(text: string) {
    this.trouble.textContent = text;
  }

  private number(name: string, step: string, value: () => string, change: (v: number) => Changes) {
    const e = h("input", { type: "number", step, onchange: () => {
      if (e.value !== "" && isFinite(Number(e.value))) this.draft.put(change(Number(e.value)));
    } });
    this.fields.push([e, value]);
    return h("label", null, name, e);
  }

  private box(name: string, on: () => boolean, change: (on: boolean) => Changes) {
    const e = h("input", { type: "checkbox", onchange: () => this.draft.put(change(e.checked)) });
    this.boxes.push([e, on]);
    return h("label.inline", null, e, name);
  }
}
