// Shortcuts of the view Now.
import type { Key } from "../view.ts";
import type { Strip } from "./strip.ts";

const step = 1.5; // that a key zooms

/** Board is what shortcuts act on. */
export interface Board {
  strips(): Strip[];
  pause(): void;
  listen(strip: Strip | undefined, id?: number): void;
  folded(): void;
  close(): void;
}

/** nowKeys are the shortcuts: they act on the strip and the transmission that have the focus, or on the first strip. */
export function nowKeys(board: Board): Key[] {
  const focus = () => {
    const at = document.activeElement;
    const strips = board.strips();
    const n = Math.max(0, strips.findIndex((s) => s.root.contains(at)));
    const outlines = strips[n]?.field.inOrder() ?? [];
    return { strips, n, strip: strips[n] as Strip | undefined, outlines, i: outlines.findIndex((o) => o.link === at) };
  };
  const beside = (by: number) => () => {
    const { strip, outlines, i } = focus();
    const o = outlines[i < 0 ? (by > 0 ? 0 : outlines.length - 1) : Math.max(0, Math.min(outlines.length - 1, i + by))];
    if (!o || !strip) return;
    if (strip.isFolded) strip.folded(false);
    strip.field.zoom.reveal(o.t.hz);
    o.link.focus({ preventScroll: true });
    strip.root.scrollIntoView({ block: "nearest" }); // the whole strip, and no more than is needed
  };
  const strip = (by: number) => (e: KeyboardEvent): false | void => {
    const { strips, n, strip } = focus();
    if ((e.target as Element).closest(".print, .panel, input, select")) return false; // which scroll
    const inside = strip?.root.contains(document.activeElement);
    const s = strips[inside ? n + by : by > 0 ? 0 : strips.length - 1];
    if (!s) return false;
    (s.field.inOrder()[0]?.link ?? s.root.querySelector<HTMLElement>(".fold"))?.focus();
  };
  const zoom = (by: number) => () => {
    const { strip, outlines, i } = focus();
    strip?.zoom(by, outlines[i]?.t.hz);
  };
  return [
    { key: "ArrowLeft", does: "transmission at the next lower frequency", run: beside(-1) },
    { key: "ArrowRight", does: "transmission at the next higher frequency", run: beside(1) },
    { key: "ArrowUp", does: "receiver above", run: strip(-1) },
    { key: "ArrowDown", does: "receiver below", run: strip(1) },
    { key: "Enter", does: "open the transmission", run: () => false },
    { key: "Escape", does: "close what is open", run: board.close },
    { key: "l", does: "listen to the transmission, or to the receiver", run: () => {
      const { strip, outlines, i } = focus();
      board.listen(strip, outlines[i]?.t.transmission);
    } },
    { key: " ", does: "pause the spectrograms, and go on", run: board.pause },
    { key: "+", does: "zoom in", run: zoom(step) },
    { key: "-", does: "zoom out", run: zoom(1 / step) },
    { key: "0", does: "show the whole band", run: zoom(1e-6) },
    { key: "f", does: "fold the receiver's strip", run: () => {
      const { strip } = focus();
      strip?.folded(!strip.isFolded);
      strip?.root.querySelector<HTMLElement>(".fold")?.focus();
      board.folded();
    } },
  ];
}
