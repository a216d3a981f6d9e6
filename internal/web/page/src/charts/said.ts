// What a person says of a chart: rating, favourite, title and note.
import { Refused } from "../api.ts";
import { h } from "../html.ts";
import type { ChartDetail } from "../types.ts";
import { notice } from "../view.ts";
import { tell, type Noted } from "./requests.ts";

/** Said shows and changes what is said; changed is called after the station has taken it. */
export class Said {
  readonly root: HTMLElement;
  private favour: HTMLButtonElement;
  private rates: HTMLButtonElement[];

  constructor(private d: ChartDetail, may: boolean, private changed: () => void) {
    this.favour = h("button", { type: "button", disabled: !may, onclick: () => this.favourite() });
    this.rates = [1, 2, 3, 4, 5].map((n) => h("button", { type: "button", disabled: !may, "aria-label": `Rate ${n} of 5`, onclick: () => this.rate(n) }, String(n)));
    const title = h("input", { value: d.title, maxlength: 200, disabled: !may });
    const note = h("textarea", { rows: 3, maxlength: 4000, disabled: !may }, d.notes);
    const form = h("form", { onsubmit: (e: Event) => {
      e.preventDefault();
      this.say({ title: title.value.trim(), notes: note.value.trim() }, "Title and note are kept.");
    } }, h("label", null, "Title", title), h("label", null, "Note", note), may && h("button", null, "Keep title and note"));
    this.root = h("div.chart-said", null,
      h("div.chart-row", null, this.favour, h("div.chart-rates", { role: "group", "aria-label": "Rating" }, this.rates)),
      h("details", { open: d.notes !== "" }, h("summary", null, "Title and note"), form),
      !may && h("p.soft", null, "You may look only; to rate, note or put right, the role “change” is needed."));
    this.show();
  }

  favourite() {
    this.say({ favourite: !this.d.favourite });
  }

  rate(n: number) {
    this.say({ rating: this.d.rating === n ? 0 : n });
  }

  private async say(noted: Noted, done?: string) {
    try {
      await tell(this.d.transmission, noted);
    } catch (e) {
      notice(e instanceof Refused ? e.message : String(e), true);
      return;
    }
    Object.assign(this.d, noted);
    this.show();
    if (done) notice(done);
    this.changed();
  }

  private show() {
    this.favour.textContent = this.d.favourite ? "★ Favourite" : "☆ Favourite";
    this.favour.setAttribute("aria-pressed", String(this.d.favourite));
    this.rates.forEach((b, i) => {
      b.setAttribute("aria-pressed", String(i + 1 === this.d.rating));
      b.classList.toggle("on", i < this.d.rating);
    });
  }
}
