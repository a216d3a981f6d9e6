// A rule is written in a form; what it would have caught in the last week is shown before it can be saved.
import { address, Refused, send } from "../api.ts";
import { fill, h } from "../html.ts";
import { span, time } from "../time.ts";
import { notice } from "../view.ts";
import { boxes, condition, listed, text } from "./fields.ts";
import { said } from "./list.ts";
import { conditionOf, conditions, short, type Rule, type Rules, type Trial } from "./shape.ts";

export const path = (name: string) => `/api/rules/${encodeURIComponent(name)}`;
interface Written { written: boolean; text: string; why?: string }

/** edit shows the form of a rule; null: a new one. done is called when station.toml has it. */
export function edit(rule: Rule | null, known: Rules, change: boolean, done: () => void) {
  const was: Rule = rule ?? { name: "", ways: known.ways.length === 1 ? [known.ways[0].name] : [] };
  const name = text("Name", was.name);
  const kind = h("select", { id: "rule-kind" }, conditions.map((c) => h("option", { value: c.key, selected: c === conditionOf(was) }, c.name)));
  const place = h("div");
  let asked = condition(conditionOf(was).key, was, known);
  fill(place, asked.root);
  const pairs = (all: string[]) => all.map((n): [string, string] => [n, n]);
  const receivers = boxes("Only these receivers", pairs(known.receivers), was.receivers);
  const modes = boxes("Only these modes", pairs(known.modes), was.modes);
  const entries = boxes("Only these of the programme", known.entries.map((e): [string, string] => [e.id, e.title || e.id]), was.entries);
  const ways = boxes("Tell me by", known.ways.map((w): [string, string] => [w.name, `${w.name} (${w.kind})`]), was.ways);
  const quiet = text("Quiet hours (UTC)", (was.quiet ?? []).join(", "), "such as 22:00-06:00: what comes is told when they end");
  const least = text("Least interval", short(was.least_interval), "such as 30m, between two alerts of this rule");

  const result = h("div.rule-result", { role: "status" }, h("p.soft", null, "See first what the rule would have caught."));
  const test = h("button", { type: "submit" }, "What would it have caught?");
  const save = h("button.primary", { type: "button", disabled: true, onclick: write }, "Save in station.toml");
  let tried = ""; // the rule that was tried last, as JSON

  function now(): Rule {
    const r: Rule = { name: name.value(), ways: ways.value() };
    asked.set(r);
    const some = (key: "receivers" | "modes" | "entries" | "quiet", list: string[]) => list.length && (r[key] = list);
    some("receivers", receivers.value());
    some("modes", modes.value());
    some("entries", entries.value());
    some("quiet", listed(quiet.value()));
    if (least.value()) r.least_interval = least.value();
    return r;
  }

  async function trial() {
    const r = now();
    save.disabled = true;
    fill(result, h("p.soft", null, "The last week is read…"));
    try {
      const t = await send<Trial>("POST", "/api/rules/trial", r);
      if (JSON.stringify(now()) !== JSON.stringify(r)) return changed();
      tried = JSON.stringify(r);
      fill(result, shown(t));
      save.disabled = !change || t.faults.length > 0;
    } catch (e) {
      fill(result, wrong(e));
    }
  }

  function changed() {
    if (JSON.stringify(now()) === tried) return;
    save.disabled = true;
    tried = "";
    fill(result, h("p.soft", null, "The rule was changed: see again what it would have caught."));
  }

  async function write() {
    const r = now();
    if (JSON.stringify(r) !== tried) return void trial();
    save.disabled = true;
    try {
      const w = await send<Written>("PUT", path(was.name || r.name), r);
      if (!w.written) {
        fill(result, h("p.error", null, `It was not written: ${w.why ?? "station.toml cannot be written"}. Put this there:`), h("pre", { tabindex: 0, "aria-label": "The table for station.toml" }, w.text));
        return;
      }
      notice(`The rule ${r.name} is in station.toml.`);
      dialog.close();
      done();
    } catch (e) {
      fill(result, wrong(e));
      save.disabled = false;
    }
  }

  kind.addEventListener("change", () => {
    asked = condition(kind.value as keyof Rule, was, known);
    fill(place, asked.root);
  });
  const dialog = h("dialog.rule", { "aria-labelledby": "rule-title", onclose: () => dialog.remove() },
    h("h2", { id: "rule-title" }, rule ? `Rule ${rule.name}` : "A new rule"),
    h("form", { oninput: changed, onchange: changed, onsubmit: (e: Event) => (e.preventDefault(), void trial()) },
      h("div.rule-fields", null, name.root, h("label", { for: "rule-kind" }, "Tell me when", kind)),
      place, ways.root, h("div.rule-fields", null, quiet.root, least.root),
      h("details", { open: !!(was.receivers ?? was.modes ?? was.entries) }, h("summary", null, "Limits: receivers, modes, entries of the programme"), receivers.root, modes.root, entries.root),
      result,
      h("div.bar", null, test, save, h("button", { type: "button", onclick: () => dialog.close() }, "Cancel"))));
  document.body.append(dialog);
  dialog.showModal();
}

/** remove asks whether a rule is to go. */
export function remove(rule: Rule, done: () => void) {
  const result = h("div", { role: "status" });
  const dialog = h("dialog.rule", { "aria-labelledby": "rule-title", onclose: () => dialog.remove() },
    h("h2", { id: "rule-title" }, `Remove the rule ${rule.name}`), h("p", null, "Its alerts stay. Its table in station.toml, with the comments in it, goes."), result,
    h("div.bar", null,
      h("button.primary", {
        type: "button",
        onclick: () => send<Written>("DELETE", address(path(rule.name))).then((w) => {
          if (!w.written) throw new Error(w.why ?? "station.toml cannot be written");
          notice(`The rule ${rule.name} is out of station.toml.`);
          dialog.close();
          done();
        }).catch((e) => fill(result, wrong(e))),
      }, "Take it out of station.toml"),
      h("button", { type: "button", autofocus: true, onclick: () => dialog.close() }, "Cancel")));
  document.body.append(dialog);
  dialog.showModal();
}

/** shown is what a trial found. */
function shown(t: Trial) {
  if (t.faults.length) return h("ul.error", null, t.faults.map((f) => h("li", null, `${f.message}${f.mend ? `; ${f.mend}` : ""}`)));
  const read = span((+new Date(t.to_utc) - +new Date(t.from_utc)) / 1000);
  return [
    h("p", null, h("b", null, `Would have caught in the last ${read}: ${t.count}`), t.held_back > 0 && `, and held back ${t.held_back}`, "."),
    !t.whole && h("p", null, "There was more than can be read at a time: texts before ", time(t.from_utc), " were left out."),
    t.caught.length > 0 && h("ol.caught", { tabindex: 0, "aria-label": "What it would have caught" }, t.caught.map((a) => h("li", null, time(a.made), said(a)))),
    t.count > t.caught.length && h("p.soft", null, `These are the latest ${t.caught.length}.`),
  ];
}

/** wrong says why something was refused, with the lines of station.toml that are wrong. */
export function wrong(e: unknown) {
  const problems = e instanceof Refused ? (e.problem.problems ?? []) : [];
  if (!problems.length) return h("p.error", null, (e as Error).message);
  return h("ul.error", null, problems.map((p) => h("li", null, `${p.line ? `line ${p.line}: ` : ""}${p.message}${p.mend ? `; ${p.mend}` : ""}`)));
}
