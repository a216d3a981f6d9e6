// Shortcuts of the viewer.
import type { Key } from "../view.ts";
import { mends, type Tool } from "./spot.ts";
import type { Viewer } from "./viewer.ts";

const panStep = 80; // pixels of the screen
const zoomStep = 1.25;

/** viewerKeys are those of the tool that is in use. */
export function viewerKeys(v: Viewer): Key[] {
  const tool = v.spot.tool;
  const key = (key: string, does: string, run: (e: KeyboardEvent) => void): Key => ({ key, does, run });
  const to = (k: string, t: Tool, does: string) => key(k, does, () => v.use(t));
  const pan = (k: string, does: string, dx: number, dy: number) => key(k, does, () => v.camera((c) => c.pan(dx * panStep, dy * panStep)));
  const nudge = (e: KeyboardEvent, n: number) => v.mend?.nudge(n * (e.shiftKey ? 10 : 1));

  const sideways = tool === "film" ? [key("ArrowLeft", "one chart back", () => v.film?.step(-1)), key("ArrowRight", "one chart on", () => v.film?.step(1))]
    : tool === "compare" ? [key("ArrowLeft", "the edge to the left", () => v.compare?.nudge(-0.02)), key("ArrowRight", "the edge to the right", () => v.compare?.nudge(0.02))]
    : tool === "start" || tool === "lean" ? [
      key("ArrowLeft", "a pixel to the left, with Shift ten", (e) => nudge(e, -1)), key("ArrowRight", "a pixel to the right, with Shift ten", (e) => nudge(e, 1))]
    : [pan("ArrowLeft", "move to the left", 1, 0), pan("ArrowRight", "move to the right", -1, 0)];
  return [
    key("[", "the earlier chart of this title", () => v.turn(v.d.previous, "earlier")),
    key("]", "the later chart of this title", () => v.turn(v.d.following, "later")),
    ...sideways, pan("ArrowUp", "move up", 0, 1), pan("ArrowDown", "move down", 0, -1),
    key("+", "larger", () => v.camera((c) => c.zoom(zoomStep))),
    key("=", "larger", () => v.camera((c) => c.zoom(zoomStep))),
    key("-", "smaller", () => v.camera((c) => c.zoom(1 / zoomStep))),
    key("0", "as wide as the screen", () => v.camera((c) => c.fitWidth())),
    key("a", "the whole chart", () => v.camera((c) => c.fitAll())),
    key("z", "pixel by pixel", () => v.camera((c) => c.zoom(1 / c.scale))),
    to("c", "compare", "compare with what came, or no longer"),
    to("m", "film", "the film of this title, or no longer"),
    ...(tool === "film" ? [key(" ", "play or stop the film", (e) => {
      const on = (e.target as Element).closest<HTMLElement>("button, a, summary");
      if (on) on.click(); // space is theirs
      else v.film?.toggle();
    })] : []),
    to("h", "move", "put right by hand"),
    ...(mends(tool) ? [
      to("s", "start", "drag the line start"), to("l", "lean", "drag the lean"), to("v", "move", "drag the chart on the screen"),
      key("i", "swap black and white", () => v.mend?.draft.put({ invert: !v.mend.draft.now.invert })),
      key("u", "undo", () => v.mend?.draft.undo()), key("U", "redo", () => v.mend?.draft.redo())] : []),
    ...(tool !== "look" ? [key("Escape", "put the tool down", () => v.use("look"))] : []),
    key("n", "night ink, or day", () => v.toggleNight()),
    key("f", "a favourite, or no longer", () => v.said.favourite()),
    ...[1, 2, 3, 4, 5].map((n) => key(String(n), `rate it ${n} of 5, or take that back`, () => v.said.rate(n))),
  ];
}
