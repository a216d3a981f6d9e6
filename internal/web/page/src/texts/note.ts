// What a person says of a transmission: title, notes, rating, favourite.
import { send } from "../api.ts";
import { h } from "../html.ts";
import type { Record_, Transmission } from "../types.ts";
import { notice } from "../view.ts";

/** note is a form whose fields are kept as they are left; kept is called with the transmission as it is then. */
export function note(t: Record_, kept: (t: Transmission) => void): HTMLElement {
  const keep = async (what: { title?: string; notes?: string; rating?: number; favourite?: boolean }) => {
    try {
      kept(await send<Transmission>("PATCH", `/api/transmissions/${t.transmission}`, what));
      notice("It is kept.");
      return true;
    } catch (e) {
      notice((e as Error).message, true);
      return false;
    }
  };
  const title = h("input", { id: "note-title", value: t.title ?? "", maxlength: 200, autocomplete: "off", onchange: () => keep({ title: title.value.trim() }) });
  const notes = h("textarea", { id: "note-notes", rows: 3, maxlength: 10_000, onchange: () => keep({ notes: notes.value }) }, t.notes ?? "");
  const favourite = h("button", {
    type: "button",
    onclick: async () => {
      const is = favourite.getAttribute("aria-pressed") === "true";
      if (await keep({ favourite: !is })) show(!is);
    },
  });
  const show = (is: boolean) => {
    favourite.textContent = is ? "★ Favourite" : "☆ Favourite";
    favourite.setAttribute("aria-pressed", String(is));
  };
  show(!!t.favourite);
  const rating = h("fieldset.rating", null, h("legend", null, "Rating"), [0, 1, 2, 3, 4, 5].map((n) =>
    h("label", null, h("input", { type: "radio", name: "rating", value: n, checked: (t.rating ?? 0) === n, onchange: () => keep({ rating: n }) }), h("span", null, n ? String(n) : "none"))));
  return h("form.note", { onsubmit: (e: Event) => e.preventDefault() },
    h("label", { for: "note-title" }, "Title", title), h("label", { for: "note-notes" }, "Notes", notes), rating, h("p", null, favourite, " ", h("span.soft", null, "A favourite is never deleted.")));
}

/** noted is the same for those who may look alone. */
export const noted = (t: Record_): HTMLElement | null =>
  t.notes || t.rating || t.favourite ? h("p.note", null, t.favourite && "★ favourite ", t.rating ? `rated ${t.rating} of 5 ` : null, t.notes) : null;
