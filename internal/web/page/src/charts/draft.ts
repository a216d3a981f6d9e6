// What is changed in a chart by hand, with undo.
import type { Changes } from "../types.ts";

const mostSteps = 200; // that can be undone

/** Draft is the changes as they stand now; changed is called when they have changed. */
export class Draft {
  private past: Changes[] = [];
  private future: Changes[] = [];
  private open = false; // the last step goes on

  constructor(public now: Changes, private changed: () => void) {}

  /** put changes something, as a step of its own; on: it goes on until rest is called, as a drag does. */
  put(change: Changes, on = false) {
    if (!(on && this.open)) {
      this.past.push(this.now);
      if (this.past.length > mostSteps) this.past.shift();
      this.future = [];
    }
    this.open = on;
    this.now = tidy({ ...this.now, ...change });
    this.changed();
  }

  rest() {
    this.open = false;
  }

  undo() {
    this.step(this.past, this.future);
  }

  redo() {
    this.step(this.future, this.past);
  }

  get undoable() {
    return this.past.length > 0;
  }

  get redoable() {
    return this.future.length > 0;
  }

  private step(from: Changes[], to: Changes[]) {
    const next = from.pop();
    if (!next) return;
    to.push(this.now);
    this.now = next;
    this.open = false;
    this.changed();
  }
}

/** tidy leaves out what changes nothing. */
function tidy(c: Changes): Changes {
  const out: Record<string, unknown> = {};
  for (const [k, v] of Object.entries(c)) if (v !== undefined && v !== false && !(k === "shift" && v === 0)) out[k] = v;
  return out as Changes;
}

export const same = (a: Changes, b: Changes) => JSON.stringify(Object.entries(a).sort()) === JSON.stringify(Object.entries(b).sort());

/** none are the changes of a chart as it was received. */
export const none: Changes = { shift: undefined, clock_ppm: undefined, lpm: undefined, ioc: undefined, invert: undefined, black: undefined, white: undefined, plain: undefined, deviation_hz: undefined, tuning_hz: undefined };
