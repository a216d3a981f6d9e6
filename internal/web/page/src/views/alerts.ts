import { h } from "../html.ts";
import type { Maker } from "../view.ts";

export const make: Maker = () => ({ title: "Alerts", root: h("section", null, h("h1", null, "Alerts")) });
