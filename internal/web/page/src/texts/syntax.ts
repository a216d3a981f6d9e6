// Help on the language of searches.
import { h } from "../html.ts";

const forms: [string, string][] = [
  ["gale warning", "both words are in it"],
  ['"gale warning"', "the words follow each other, also from one line to the next"],
  ["meteo*", "a word that begins so"],
  ["~warning", "the word, also where some of it was printed with low confidence and is wrong, missing or too much there by one character"],
  ["-test", "that is not in it"],
];

/** syntax explains how words are looked up; try puts an example into the field. */
export const syntax = (tried: (words: string) => void) =>
  h("details.texts-help", null,
    h("summary", null, "How to search"),
    h("table", null, h("caption.unseen", null, "Forms of a search"), h("tbody", null, forms.map(([form, means]) =>
      h("tr", null, h("th", { scope: "row" }, h("button", { type: "button", title: "Search so", onclick: () => tried(form) }, h("code", null, form))), h("td", null, means))))),
    h("p.soft", null, "Capital letters and accents do not matter. Texts, titles and notes are searched."));
