import { h } from "../html.ts";
import type { Maker } from "../view.ts";

export const make: Maker = () => ({ title: "Charts", root: h("section", null, h("h1", null, "Charts")) });
