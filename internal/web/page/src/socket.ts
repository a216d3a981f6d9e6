// One WebSocket a page. It comes back by itself, and goes on with the event after the last one that was heard.
import { nowIsNotBefore } from "./time.ts";
import type { Now } from "./types.ts";

/** What is wanted besides events. */
export interface Want { spectrum?: string[]; lines?: number[]; levels?: boolean }

/** Listener hears what comes. now is called with the whole state at first, and whenever events were missed for good. */
export interface Listener {
  now?(now: Now): void;
  event?(event: any): void;
  row?(receiver: number, row: number, utc: number, bins: Uint8Array): void;
  line?(transmission: number, row: number, pixels: Uint8Array): void;
}

const listeners = new Map<Listener, Want>();
const mostPause = 15_000; // ms between two tries
const leastPause = 500;

let socket: WebSocket | null = null;
let last = 0; // number of the last event
let pause = leastPause;
let again = 0; // timer
let said = ""; // what is wanted, as the station was told last

/** listen has a listener hear events until the function that it returns is called. A new one hears now first. */
export function listen(listener: Listener, want: Want = {}): () => void {
  listeners.set(listener, want);
  if (!socket) connect();
  else if (listener.now) restart(); // for the state
  tell();
  return () => {
    listeners.delete(listener);
    tell();
  };
}

/** want changes what a listener wants. */
export function want(listener: Listener, what: Want) {
  if (listeners.has(listener)) listeners.set(listener, what);
  tell();
}

function restart() {
  last = 0;
  socket?.close();
  socket = null;
  connect();
}

function connect() {
  clearTimeout(again);
  said = "";
  const url = new URL(last ? `/api/events?after=${last}` : "/api/events", location.href);
  url.protocol = url.protocol.replace("http", "ws");
  const s = new WebSocket(url);
  socket = s;
  s.binaryType = "arraybuffer";
  s.onopen = () => {
    pause = leastPause;
    state("connected");
    tell();
  };
  s.onmessage = (m) => {
    if (s === socket) hear(m.data);
  };
  s.onclose = () => {
    if (s !== socket) return;
    socket = null;
    state("lost");
    again = window.setTimeout(connect, pause * (0.5 + Math.random()));
    pause = Math.min(2 * pause, mostPause);
  };
}

function state(detail: "connected" | "lost") {
  document.dispatchEvent(new CustomEvent("ionoscribe:connection", { detail }));
}

function hear(data: string | ArrayBuffer) {
  if (typeof data === "string") {
    const e = JSON.parse(data);
    if (e.number) last = e.number;
    for (const l of listeners.keys()) {
      if (e.what === "hello") {
        if (!e.resumed) l.now?.(e.now);
      } else l.event?.(e);
    }
    return;
  }
  const v = new DataView(data);
  const rest = new Uint8Array(data, 16);
  if (v.getUint8(0) === 1) nowIsNotBefore(v.getFloat64(8, true));
  for (const l of listeners.keys()) {
    if (v.getUint8(0) === 1) l.row?.(v.getUint8(1), v.getUint32(4, true), v.getFloat64(8, true), rest);
    else l.line?.(v.getFloat64(8, true), v.getUint32(4, true), rest);
  }
}

/** tell says what all listeners want together; a page that is hidden wants nothing. */
function tell() {
  if (socket?.readyState !== WebSocket.OPEN) return;
  const all = document.hidden ? [] : [...listeners.values()];
  const what = {
    spectrum: [...new Set(all.flatMap((w) => w.spectrum ?? []))],
    lines: [...new Set(all.flatMap((w) => w.lines ?? []))],
    levels: all.some((w) => w.levels),
  };
  const text = JSON.stringify({ want: what });
  if (text !== said) socket.send((said = text));
}

document.addEventListener("visibilitychange", tell);
