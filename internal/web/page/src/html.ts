// Elements are made here, and never from text that is parsed: the page's policy forbids that (Trusted Types).

export type Child = Node | string | number | null | undefined | false | Child[];
type Handler = (event: any) => void;
export type Attributes = Record<string, string | number | boolean | null | undefined | Handler>;

/** Tagged is the element of "tag" or "tag.class.class". */
type Tagged<T extends string> = (T extends `${infer Tag}.${string}` ? Tag : T) extends infer K extends keyof HTMLElementTagNameMap ? HTMLElementTagNameMap[K] : HTMLElement;

/** h makes an element: "tag", "tag.class.class". An attribute whose name begins with "on" is a listener; true is an empty
 * attribute, and false, null and undefined are none. */
export function h<T extends string>(tag: T, attributes?: Attributes | null, ...children: Child[]): Tagged<T>;
export function h(tag: string, attributes?: Attributes | null, ...children: Child[]): HTMLElement {
  const [name, ...classes] = tag.split(".");
  const e = document.createElement(name);
  if (classes.length) e.className = classes.join(" ");
  set(e, attributes);
  add(e, children);
  return e;
}

const svgSpace = "http://www.w3.org/2000/svg";

/** svg is h for elements of a drawing. */
export function svg(tag: string, attributes?: Attributes | null, ...children: Child[]): SVGElement {
  const [name, ...classes] = tag.split(".");
  const e = document.createElementNS(svgSpace, name);
  if (classes.length) e.setAttribute("class", classes.join(" "));
  set(e, attributes);
  add(e, children);
  return e;
}

function set(e: Element, attributes?: Attributes | null) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (typeof value === "function") e.addEventListener(name.replace(/^on/, ""), value);
    else if (value === true) e.setAttribute(name, "");
    else if (value !== false && value != null) e.setAttribute(name, String(value));
  }
}

function add(e: Element, children: Child[]) {
  for (const c of children) {
    if (Array.isArray(c)) add(e, c);
    else if (c !== null && c !== undefined && c !== false) e.append(c instanceof Node ? c : String(c));
  }
}

/** fill replaces what is in an element. */
export function fill(e: Element, ...children: Child[]) {
  e.replaceChildren();
  add(e, children);
}
