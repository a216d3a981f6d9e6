// Text to the clipboard.
import { h } from "../html.ts";
import { notice } from "../view.ts";

/** copy puts a text on the clipboard, and says so. */
export async function copy(text: string) {
  try {
    if (navigator.clipboard) await navigator.clipboard.writeText(text).catch(() => select(text));
    else select(text);
    notice("It is on the clipboard.");
  } catch {
    notice("The browser does not let the page copy; use the export instead.", true);
  }
}

/** select copies where the page was not loaded by HTTPS or from this computer, and has no clipboard of its own. */
function select(text: string) {
  const field = h("textarea", { class: "unseen", "aria-hidden": "true", tabindex: -1 });
  field.value = text;
  document.body.append(field);
  field.select();
  const done = document.execCommand("copy");
  field.remove();
  if (!done) throw new Error("refused");
}
