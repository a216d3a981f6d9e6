// The filter of texts: its fields stand in the address.
import { address, type Query } from "../api.ts";
import { fill, h } from "../html.ts";
import { readFrequency, readTime, writeFrequency, writeTime } from "./fields.ts";

const typing = 350; // ms after a key until the search begins

/** Filter is a form; changed is called with the new address of the view; typed: while somebody writes. */
export class Filter {
  readonly root = h("form.bar.texts-filter", { role: "search", "aria-label": "Texts" });
  readonly words = h("input", { type: "search", id: "words", spellcheck: "false", autocomplete: "off", maxlength: 500, "aria-describedby": "words-fault" });
  private readonly fault = h("p.error", { id: "words-fault", role: "alert" });
  private readonly receiver = h("select", { id: "receiver" });
  private readonly mode = h("select", { id: "mode" });
  private readonly from = h("input", { id: "from", size: 17, placeholder: "2026-11-27 06:00", autocomplete: "off" });
  private readonly to = h("input", { id: "to", size: 17, placeholder: "2026-11-27", autocomplete: "off" });
  private readonly frequency = h("input", { id: "frequency", size: 12, placeholder: "7800-7900", autocomplete: "off" });
  private readonly rating = h("select", { id: "rating" }, h("option", { value: "" }, "any"), [1, 2, 3, 4, 5].map((n) => h("option", { value: n }, n === 5 ? "5" : `${n} or more`)));
  private readonly favourites = h("input", { type: "checkbox", id: "favourites" });
  private readonly all = h("input", { type: "checkbox", id: "all" });
  private readonly others = h("details", { class: "texts-others" });
  private timer = 0;

  constructor(changed: (address: string, typed: boolean) => void) {
    this.offer([], []);
    const label = (text: string, e: HTMLElement) => h("label", { for: e.id }, text, e);
    const check = (text: string, e: HTMLElement) => h("label.inline", { for: e.id }, e, text);
    fill(this.root,
      h("label.texts-words", { for: "words" }, "Words in text, title or notes", this.words),
      this.others, this.fault);
    fill(this.others, h("summary", null, "Filter"), h("div.bar", null,
      label("Receiver", this.receiver), label("Mode", this.mode), label("From (UTC)", this.from), label("To (UTC)", this.to), label("Frequency (kHz)", this.frequency), label("Rating", this.rating),
      h("div.texts-checks", null, check("favourites", this.favourites), check("also without text", this.all))));
    const tell = (typed: boolean) => {
      clearTimeout(this.timer);
      const a = this.address();
      if (a) changed(a, typed);
    };
    this.root.addEventListener("submit", (e) => (e.preventDefault(), tell(false)));
    this.root.addEventListener("change", (e) => e.target !== this.words && tell(false));
    this.words.addEventListener("input", () => {
      clearTimeout(this.timer);
      this.timer = window.setTimeout(() => tell(true), typing);
    });
  }

  /** show puts a query into the fields. */
  show(q: URLSearchParams) {
    const set = (e: HTMLInputElement | HTMLSelectElement, v: string) => {
      if (e !== document.activeElement || !(e instanceof HTMLInputElement)) e.value = v;
    };
    for (const [e, name] of [[this.receiver, "receiver"], [this.mode, "mode"]] as const) {
      const v = q.get(name) ?? "";
      if (v && ![...e.options].some((o) => o.value === v)) e.append(h("option", { value: v }, v));
      set(e, v);
    }
    set(this.words, q.get("words") ?? "");
    set(this.from, writeTime(q.get("from_utc")));
    set(this.to, writeTime(q.get("to_utc"), true));
    set(this.frequency, writeFrequency(q.get("low_hz"), q.get("high_hz")));
    set(this.rating, q.get("least_rating") ?? "");
    this.favourites.checked = q.get("favourites") === "true";
    this.all.checked = q.get("all") === "true";
    const roomy = innerWidth > 640; // px: a phone shows these fields on demand, or if one of them is used
    if (roomy || [...q.keys()].some((k) => k !== "words")) this.others.open = true;
  }

  /** say tells what is wrong with the words, as the station has it. */
  say(fault: string) {
    this.fault.textContent = fault;
    this.words.toggleAttribute("aria-invalid", fault !== "");
  }

  close() {
    clearTimeout(this.timer);
  }

  /** offer takes the names of which one may be chosen. */
  offer(receivers: string[], modes: string[]) {
    for (const [e, names] of [[this.receiver, receivers], [this.mode, modes]] as const) {
      const chosen = e.value;
      fill(e, h("option", { value: "" }, "any"), [...new Set([...names, chosen])].filter(Boolean).map((n) => h("option", { value: n }, n)));
      e.value = chosen;
    }
  }

  /** address is that of the view with what the fields say; "": one of them is wrong, and told so. */
  private address(): string {
    const from = this.from.value.trim() && readTime(this.from.value);
    const to = this.to.value.trim() && readTime(this.to.value, true);
    const f = this.frequency.value.trim() ? readFrequency(this.frequency.value) : {};
    const wrong = from === null ? [this.from, "From is a day such as 2026-11-27 or a time such as 2026-11-27 06:00."]
      : to === null ? [this.to, "To is a day such as 2026-11-27 or a time such as 2026-11-27 06:00."]
        : f === null ? [this.frequency, "A frequency in kHz is such as 7878.1 or, from one to another, 7800-7900."] : null;
    for (const e of [this.from, this.to, this.frequency]) e.toggleAttribute("aria-invalid", wrong?.[0] === e);
    this.say(wrong ? String(wrong[1]) : "");
    if (wrong) return "";
    return address("/texts", {
      words: this.words.value.trim(), receiver: this.receiver.value, mode: this.mode.value, from_utc: from, to_utc: to, ...f,
      least_rating: this.rating.value, favourites: this.favourites.checked, all: this.all.checked,
    });
  }
}

/** queryOf is what the interface is asked for an address of the view. */
export function queryOf(q: URLSearchParams): Query {
  const names = ["words", "from_utc", "to_utc", "low_hz", "high_hz", "least_rating", "favourites"];
  return { ...Object.fromEntries(names.map((n) => [n, q.get(n)])), receiver: q.getAll("receiver"), mode: q.getAll("mode"), texts: q.get("all") !== "true" };
}
