// What a view is to the shell.

/** Place is an address of the page: path "/chart/17" of the route "/chart/:chart" has at.chart = "17". */
export interface Place { path: string; at: Record<string, string>; query: URLSearchParams }

/** Key is a shortcut of a view, which the help shows. run returns false if the key is not for it, but for the browser. */
export interface Key { key: string; does: string; run(e: KeyboardEvent): void | false }

/** View is shown in <main>. */
export interface View {
  title: string; // of the document and the heading
  root: Element;
  keys?: Key[];
  /** change takes another address of the same route, such as another filter; false: the view is made anew. */
  change?(place: Place): boolean;
  /** close ends timers, listeners and requests. */
  close?(): void;
}

/** Maker makes a view at a place. */
export type Maker = (place: Place) => View | Promise<View>;

/** go moves to an address; replace: without a step in the history, such as while somebody types. */
export function go(address: string, replace = false) {
  history[replace ? "replaceState" : "pushState"](null, "", address);
  window.dispatchEvent(new Event("ionoscribe:moved"));
}

/** notice tells of something in passing, in words. */
export function notice(text: string, bad = false) {
  document.dispatchEvent(new CustomEvent("ionoscribe:notice", { detail: { text, bad } }));
}
