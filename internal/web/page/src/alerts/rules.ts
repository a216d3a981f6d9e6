// The list of rules, with what each waits for and by which ways it tells.
import { send } from "../api.ts";
import { fill, h } from "../html.ts";
import { edit, path, remove, wrong } from "./editor.ts";
import { words, type Reply, type Rule, type Rules } from "./shape.ts";

/** list shows the rules; done is called when station.toml was changed. */
export function list(all: Rules, change: boolean, done: () => void): HTMLElement {
  if (!all.rules.length) return h("p.soft", null, "There is no rule: nobody is told of anything.");
  return h("ul.rules", null, all.rules.map((r) => row(r, all, change, done)));
}

function row(r: Rule, all: Rules, change: boolean, done: () => void): HTMLElement {
  const replies = h("div", { role: "status" });
  const test = h("button", { type: "button", onclick: () => tried(r, test, replies), "aria-label": `Test the rule ${r.name}` }, "Test");
  return h("li", null,
    h("div.rule-said", null, h("h3", null, r.name), h("div", null, words(r)), h("div.soft", null, `tells by ${r.ways.join(", ") || "nothing"}`), replies),
    h("div.rule-acts", null,
      h("button", { type: "button", onclick: () => edit(r, all, change, done), "aria-label": `${change ? "Change" : "Try"} the rule ${r.name}` }, change ? "Change" : "Try"),
      change && test,
      change && h("button", { type: "button", onclick: () => remove(r, done), "aria-label": `Remove the rule ${r.name}` }, "Remove")));
}

/** tried sends a test by the ways of a rule, and shows what they reply. */
async function tried(r: Rule, test: HTMLButtonElement, replies: HTMLElement) {
  test.disabled = true;
  fill(replies, h("p.soft", null, "A test is sent…"));
  try {
    const t = await send<{ replies: Reply[] }>("POST", `${path(r.name)}/test`);
    fill(replies, h("ul.replies", null, t.replies.map((x) =>
      h(x.error ? "li.failing" : "li", null, h("b", null, x.way), ": ", x.error ? `failed: ${x.error}` : `took the test${x.reply.trim() ? `, and replied “${x.reply.trim().slice(0, 200)}”` : ""}`))));
  } catch (e) {
    fill(replies, wrong(e));
  }
  test.disabled = false;
}
