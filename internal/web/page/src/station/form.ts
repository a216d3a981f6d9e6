// A receiver is added or changed in a form; beside it stands the table as it will be in station.toml.
import { address, send } from "../api.ts";
import { fill, h } from "../html.ts";
import { notice } from "../view.ts";
import { problemsIn, type ConfigProblem, type Keys, type Row, type Written } from "./shape.ts";

const rests = 350; // ms without typing before the table is asked for again

interface Field { key: keyof Keys; name: string; hint: string; choices?: [value: string, name: string][]; list?: boolean }

const fields: Field[] = [
  { key: "source", name: "Source", hint: "device:NAME, rtp://ADDRESS:PORT or tcp://HOST:PORT?rate=48000" },
  { key: "dial", name: "Dial frequency", hint: "such as 7878.1 kHz; empty if the source knows it" },
  { key: "sideband", name: "Sideband", hint: "", choices: [["", "upper, as usual"], ["upper", "upper"], ["lower", "lower"]] },
  { key: "iq", name: "I and Q", hint: "", choices: [["", "none: it is audio"], ["normal", "normal"], ["swapped", "swapped"], ["mirrored", "mirrored"]] },
  { key: "channel", name: "Channel", hint: "left, right, mix or a number" },
  { key: "copy", name: "Modes to copy", hint: "such as fax, rtty, cw; empty: all", list: true },
  { key: "hours", name: "Hours (UTC)", hint: "such as 18:00-06:30; empty: always", list: true },
  { key: "sound", name: "Sound kept", hint: "such as 12 h, 2 GB, or none" },
  { key: "place", name: "Place", hint: "if it is not the station's" },
];

const path = (name: string) => `/api/station/receivers/${encodeURIComponent(name)}`;

/** edit shows the form for a receiver; null: a new one. done is called when the file was written. */
export function edit(row: Row | null, done: () => void) {
  const name = h("input", { id: "rx-name", value: row?.name ?? "", readonly: !!row, required: true, maxlength: 40, autocomplete: "off", spellcheck: "false" });
  const inputs = new Map(fields.map((f) => [f.key, input(f, row?.keys)]));
  const keys = () => {
    const k: Record<string, string | string[]> = { source: "" };
    for (const f of fields) {
      const text = inputs.get(f.key)!.value.trim();
      if (f.list) k[f.key] = text ? text.split(/[,;]\s*|\s+(?=\d\d:)/).map((s) => s.trim()).filter(Boolean) : [];
      else k[f.key] = text;
    }
    return k;
  };
  const preview = new Preview();
  const write = h("button.primary", { type: "submit", disabled: true }, "Write to station.toml");
  let shown = ""; // what the preview is of
  let turn = 0;
  const asked = () => JSON.stringify([name.value.trim(), keys()]);
  async function show() {
    const mine = ++turn;
    const what = asked();
    write.disabled = true;
    if (!name.value.trim()) return preview.wait("Give the receiver a name: letters, digits, - . and _.");
    try {
      const w = await send<Written>("PUT", address(path(name.value.trim()), { dry_run: true }), keys());
      if (mine !== turn) return;
      preview.table(w.text);
      shown = what;
      write.disabled = false;
    } catch (e) {
      if (mine === turn) preview.wrong(e);
    }
  }
  let timer = 0;
  const soon = () => {
    clearTimeout(timer);
    write.disabled = true;
    timer = window.setTimeout(show, rests);
  };
  const dialog = ask(
    row ? `Change receiver ${row.name}` : "Add a receiver",
    [
      h("div.rx-fields", { oninput: soon },
        h("label", { for: "rx-name" }, "Name", name),
        fields.map((f) => h("label", { for: `rx-${f.key}` }, f.name, inputs.get(f.key)!, f.hint && h("small", { id: `rx-${f.key}-hint` }, f.hint)))),
      row?.tunes && h("p.soft", null, "The command that tunes this receiver stays as it is; it can be changed in station.toml only."),
      h("h3", null, "In station.toml"),
      preview.root,
    ],
    write,
    async () => {
      if (shown !== asked()) return void show(); // Enter came before the preview
      preview.result(await send<Written>("PUT", path(name.value.trim()), keys()), write, () => {
        notice(`Receiver ${name.value.trim()} is in station.toml.`);
        dialog.close();
        done();
      });
    },
    preview,
  );
  (row ? inputs.get("source")! : name).focus();
  show();
}

/** remove asks whether a receiver is to go. */
export function remove(row: Row, done: () => void) {
  const preview = new Preview();
  const write = h("button.primary", { type: "submit", disabled: true }, "Take it out of station.toml");
  const dialog = ask(
    `Remove receiver ${row.name}`,
    [h("p", null, "What it received stays in the archive. Its table in station.toml, with the comments in it, goes."), preview.root],
    write,
    async () =>
      preview.result(await send<Written>("DELETE", path(row.name)), write, () => {
        notice(`Receiver ${row.name} is out of station.toml.`);
        dialog.close();
        done();
      }),
    preview,
  );
  send<Written>("DELETE", address(path(row.name), { dry_run: true })).then(
    () => ((write.disabled = false), preview.wait("Nothing else in station.toml names this receiver.")),
    (e) => preview.wrong(e),
  );
}

function input(f: Field, keys?: Keys): HTMLInputElement | HTMLSelectElement {
  const v = keys?.[f.key];
  const text = Array.isArray(v) ? v.join(", ") : (v ?? "");
  if (!f.choices) return h("input", { id: `rx-${f.key}`, value: text, autocomplete: "off", spellcheck: "false", "aria-describedby": f.hint ? `rx-${f.key}-hint` : null });
  return h("select", { id: `rx-${f.key}` }, f.choices.map(([value, name]) => h("option", { value, selected: value === text }, name)));
}

/** ask shows a dialog with a form. */
function ask(title: string, content: (Node | string | false | null | undefined)[], write: HTMLButtonElement, submit: () => Promise<void>, preview: Preview): HTMLDialogElement {
  const dialog = h("dialog.rx", { "aria-labelledby": "rx-title" });
  const form = h("form", {
    onsubmit: (e: Event) => {
      e.preventDefault();
      submit().catch((e) => preview.wrong(e));
    },
  });
  fill(form, content, h("div.bar", null, write, h("button", { type: "button", onclick: () => dialog.close() }, "Cancel")));
  fill(dialog, h("h2", { id: "rx-title" }, title), form);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}

/** Preview is what station.toml will have, or what is wrong with it. */
class Preview {
  readonly root = h("div.rx-preview", { role: "status" });

  wait(text: string) {
    fill(this.root, h("p.soft", null, text));
  }

  table(text: string) {
    fill(this.root, h("pre", { tabindex: 0, "aria-label": "The table in station.toml" }, text));
  }

  wrong(e: unknown) {
    const all = problemsIn(e);
    fill(this.root, all.length ? problems(all) : h("p.error", null, (e as Error).message));
  }

  /** result tells what became of a change: it was written, or is to be written by hand. */
  result(w: Written, write: HTMLButtonElement, done: () => void) {
    if (w.written) return done();
    write.disabled = true;
    fill(this.root,
      h("p.error", null, `${w.why ?? "It could not be written"}.`),
      w.text ? [h("p", null, "Put this into station.toml yourself:"), h("pre", { tabindex: 0 }, w.text), copier(w.text)] : h("p", null, "Take the table out of station.toml yourself."));
  }
}

/** copier is a button that copies a text. */
export const copier = (text: string) =>
  h("button", { type: "button", onclick: () => navigator.clipboard?.writeText(text).then(() => notice("Copied."), () => notice("The browser does not let the page copy; select the text.", true)) }, "Copy");

/** problems lists mistakes; at is called with one that is chosen. */
export const problems = (all: ConfigProblem[], at?: (p: ConfigProblem) => void) =>
  h("ul.toml-problems", null, all.map((p) => {
    const where = p.line ? `line ${p.line}` : "";
    return h("li", null, where && (at ? h("button", { type: "button", onclick: () => at(p) }, where) : h("span.figure", null, where)), where && " ", p.message, p.mend && h("span.soft", null, `; ${p.mend}`));
  }));
