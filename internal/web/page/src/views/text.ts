import { h } from "../html.ts";
import type { Maker } from "../view.ts";

export const make: Maker = () => ({ title: "Text", root: h("section", null, h("h1", null, "Text")) });
