// A chart's viewer.
import { detail, mayChange } from "../charts/requests.ts";
import { read } from "../charts/spot.ts";
import { Viewer } from "../charts/viewer.ts";
import type { Maker } from "../view.ts";

export const make: Maker = async (place) => {
  const spot = read(place);
  const [d, may] = await Promise.all([detail(spot.chart), mayChange()]);
  return new Viewer(d, spot, may);
};
