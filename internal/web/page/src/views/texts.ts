import { h } from "../html.ts";
import type { Maker } from "../view.ts";

export const make: Maker = () => ({ title: "Texts", root: h("section", null, h("h1", null, "Texts")) });
