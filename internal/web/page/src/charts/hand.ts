// Pointers, wheel and fingers on a chart.
import type { Camera } from "./camera.ts";

/** Grip takes a drag for itself, in pixels of the picture; begin returns false to leave it to the camera. A drag goes sideways. */
export interface Grip {
  begin(x: number, y: number): boolean;
  move(x: number): void;
  end(): void;
}

const wheelStep = 0.0015; // zoom by e^step for each CSS px of the wheel: a notch of 100 px makes 16 %
const lineHigh = 16; // CSS px of a line, where a wheel turns by lines
const twice = 300; // ms between the two taps of a double tap
const near = 40; // pixels of the screen between them

/** hand moves a camera; moved is called after each move, over with the point of the picture that the pointer is over. */
export function hand(e: HTMLElement, camera: Camera, grip: Grip, moved: () => void, over: (at: { x: number; y: number } | null) => void) {
  const down = new Map<number, { x: number; y: number }>(); // pointers, in pixels of the screen
  let gripped = false;
  let tap = { time: -twice, x: 0, y: 0 };
  let mouse = false;
  const dpr = () => e.clientWidth ? camera.screen.width / e.clientWidth : 1;
  const point = (p: MouseEvent) => {
    const r = e.getBoundingClientRect();
    return { x: (p.clientX - r.left) * dpr(), y: (p.clientY - r.top) * dpr() };
  };
  const drop = () => {
    if (gripped) grip.end();
    gripped = false;
  };

  e.addEventListener("pointerdown", (p) => {
    if (p.button) return;
    e.setPointerCapture(p.pointerId);
    const at = point(p);
    down.set(p.pointerId, at);
    if (down.size === 2) return drop(); // two fingers zoom
    const c = camera.at(at.x, at.y);
    gripped = grip.begin(c.x, c.y);
    mouse = p.pointerType === "mouse";
    if (!mouse && p.timeStamp - tap.time < twice && Math.hypot(at.x - tap.x, at.y - tap.y) < near * dpr()) {
      drop();
      magnify(at);
      moved();
    }
    tap = { time: p.timeStamp, ...at };
  });
  e.addEventListener("pointermove", (p) => {
    const at = point(p);
    const was = down.get(p.pointerId);
    over(camera.at(at.x, at.y));
    if (!was) return;
    if (down.size === 2) {
      const other = [...down].find(([id]) => id !== p.pointerId)![1];
      const far = (a: { x: number; y: number }) => Math.max(1, Math.hypot(a.x - other.x, a.y - other.y));
      camera.pan((at.x - was.x) / 2, (at.y - was.y) / 2); // the middle between them goes half the way
      camera.zoom(far(at) / far(was), (at.x + other.x) / 2, (at.y + other.y) / 2);
    } else if (gripped) {
      grip.move(camera.at(at.x, at.y).x);
    } else camera.pan(at.x - was.x, at.y - was.y);
    down.set(p.pointerId, at);
    moved();
  });
  const up = (p: PointerEvent) => {
    down.delete(p.pointerId);
    drop();
    moved();
  };
  e.addEventListener("pointerup", up);
  e.addEventListener("pointercancel", up);
  e.addEventListener("pointerleave", () => over(null));
  e.addEventListener("dblclick", (p) => {
    if (!mouse) return; // two taps have been told of
    magnify(point(p));
    moved();
  });
  e.addEventListener("wheel", (w) => {
    w.preventDefault();
    const at = point(w);
    const turned = w.deltaMode === WheelEvent.DOM_DELTA_LINE ? w.deltaY * lineHigh : w.deltaY;
    camera.zoom(Math.exp(-turned * wheelStep * (w.ctrlKey ? 5 : 1)), at.x, at.y); // a touch pad's pinch comes as small turns with ctrl
    moved();
  }, { passive: false });

  /** magnify shows pixel by pixel what was tapped twice, and then the whole width again. */
  function magnify(at: { x: number; y: number }) {
    if (camera.fitted) camera.zoom(Math.max(2, 1 / camera.scale), at.x, at.y);
    else camera.fitWidth();
  }
}
