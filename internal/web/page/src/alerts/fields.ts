// Fields of the form of a rule.
import { h } from "../html.ts";
import { conditions, type Rule, type Rules } from "./shape.ts";

let count = 0; // of names of groups and lists

/** listed is a text of several, as a list. */
export const listed = (text: string) => text.split(/[,;\n]/).map((s) => s.trim()).filter(Boolean);

/** text is a field for one or several texts. */
export function text(label: string, value: string, hint = "", choices: string[] = []): { root: HTMLElement; value: () => string } {
  const id = `rule-${++count}`;
  const input = h("input", { id, value, autocomplete: "off", spellcheck: "false", list: choices.length > 0 && `${id}-list`, "aria-describedby": hint && `${id}-hint` });
  const root = h("label", { for: id }, label, input, hint && h("small", { id: `${id}-hint` }, hint),
    choices.length > 0 && h("datalist", { id: `${id}-list` }, choices.map((c) => h("option", { value: c }))));
  return { root, value: () => input.value.trim() };
}

/** boxes are choices of which several may be taken. */
export function boxes(label: string, choices: [string, string][], taken: string[] = []): { root: HTMLElement; value: () => string[] } {
  const known = new Set(choices.map(([v]) => v));
  const all = [...choices, ...taken.filter((t) => !known.has(t)).map((t): [string, string] => [t, `${t} (not there)`])];
  const inputs = all.map(([value]) => h("input", { type: "checkbox", value, checked: taken.includes(value) }));
  const root = h("fieldset.rule-boxes", null, h("legend", null, label), all.map(([, name], i) => h("label.inline", null, inputs[i], name)), all.length === 0 && h("span.soft", null, "there is none"));
  return { root, value: () => inputs.filter((i) => i.checked).map((i) => i.value) };
}

/** condition is the part of the form that belongs to a kind of condition; set puts what is in it into a rule. */
export function condition(key: keyof Rule, rule: Rule, known: Rules): { root: HTMLElement; set(r: Rule): void } {
  const kind = conditions.find((c) => c.key === key)!;
  const was = rule[key];
  const list = Array.isArray(was) ? (was as string[]) : [];
  if (kind.whats) {
    const b = boxes(kind.name, kind.whats, list);
    return { root: b.root, set: (r) => Object.assign(r, { [key]: b.value() }) };
  }
  if (key === "signal") {
    const kHz = (hz?: number) => (hz ? String(hz / 1000) : "");
    const from = text("From (kHz)", kHz(rule.signal?.from_hz), "on the air");
    const to = text("To (kHz)", kHz(rule.signal?.to_hz));
    return { root: h("div.rule-fields", null, from.root, to.root), set: (r) => (r.signal = { from_hz: number(from.value()), to_hz: number(to.value()) }) };
  }
  const [label, hint] = {
    text: ["Words", "such as GALE WARNING*; ? is a letter or figure, * any number of them; commas between several"],
    calls: ["Call signs", "such as QQ9*; commas between several"],
    countries: ["Countries", "short English names; commas between several"],
  }[key as "text" | "calls" | "countries"];
  const t = text(label, list.join(", "), hint, key === "countries" ? known.countries : []);
  return { root: t.root, set: (r) => Object.assign(r, { [key]: listed(t.value()) }) };
}

const number = (kHz: string) => Math.round(Number(kHz.replace(",", ".")) * 1e6) / 1e3 || 0;
