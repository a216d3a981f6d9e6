// Shortcuts: those of the views, those of the view that is shown, and their help.
import { viewKeys } from "./head.ts";
import { fill, h } from "./html.ts";
import { go, type Key, type View } from "./view.ts";

let leading = false; // "g" was pressed

/** press takes a key for a shortcut, unless somebody types or a modifier is held. */
export function press(e: KeyboardEvent, view: View | null) {
  const t = e.target as HTMLElement;
  if (e.ctrlKey || e.metaKey || e.altKey || e.defaultPrevented || t.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(t.tagName) || document.querySelector("dialog[open]")) return;
  const to = leading && viewKeys.find((v) => v.key === e.key);
  leading = e.key === "g" && !leading;
  if (to) {
    e.preventDefault();
    go(to.path);
    return;
  }
  if (e.key === "?") return help(view);
  if ((e.key === " " && t.closest("button, summary")) || (e.key === "Enter" && t.closest("button, a, summary"))) return; // which they press
  const own = view?.keys?.find((k) => k.key === e.key);
  if (own && own.run(e) !== false) e.preventDefault();
}

const names: Record<string, string> = { ArrowLeft: "←", ArrowRight: "→", ArrowUp: "↑", ArrowDown: "↓", " ": "space" };
const row = (key: string, does: string) => h("tr", null, h("th", { scope: "row" }, h("kbd", null, key)), h("td", null, does));
const table = (caption: string, keys: [string, string][]) =>
  h("table.keys", null, h("caption", null, caption), h("tbody", null, keys.map(([k, d]) => row(k, d))));

function help(view: View | null) {
  const own: [string, string][] = (view?.keys ?? []).map((k: Key) => [names[k.key] ?? k.key, k.does]);
  const dialog = h("dialog", { "aria-labelledby": "shortcuts" });
  fill(
    dialog,
    h("h2", { id: "shortcuts" }, "Shortcuts"),
    own.length > 0 && table(view!.title, own),
    table("Everywhere", [...viewKeys.map((v): [string, string] => [`g ${v.key}`, v.name]), ["?", "these shortcuts"]]),
    h("form", { method: "dialog" }, h("button", { autofocus: true }, "Close")),
  );
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
}

document.addEventListener("ionoscribe:help", () => help(null));
