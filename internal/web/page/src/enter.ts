// Who may look is asked for a name and a password, if the station wants them.
import { Refused, send } from "./api.ts";
import { fill, h } from "./html.ts";
import type { Session } from "./types.ts";

let asking = false;

/** enter asks for name and password, and calls then when they are right. */
export function enter(then: () => void) {
  if (asking) return;
  asking = true;
  const wrong = h("p.error", { role: "alert" });
  const user = h("input", { id: "user", name: "user", autocomplete: "username", required: true, autofocus: true });
  const password = h("input", { id: "password", name: "password", type: "password", autocomplete: "current-password", required: true });
  const dialog = h("dialog", { "aria-labelledby": "enter" });
  const form = h("form", {
    onsubmit: async (e: Event) => {
      e.preventDefault();
      try {
        await send<Session>("POST", "/api/session", { user: user.value, password: password.value });
        dialog.close();
        then();
      } catch (e) {
        wrong.textContent = e instanceof Refused ? e.message : String(e);
        password.value = "";
        password.focus();
      }
    },
  });
  fill(form, h("label", { for: "user" }, "Name", user), h("label", { for: "password" }, "Password", password), wrong, h("button.primary", null, "Enter"));
  fill(dialog, h("h2", { id: "enter" }, "This station wants to know who you are"), form);
  dialog.addEventListener("close", () => {
    asking = false;
    dialog.remove();
  });
  document.body.append(dialog);
  dialog.showModal();
}
