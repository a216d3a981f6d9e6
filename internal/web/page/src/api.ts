// Requests of the interface under /api/.
import type { Problem } from "./types.ts";

export type Query = Record<string, string | number | boolean | string[] | undefined | null>;

/** Refused is an answer that is an error, in words. */
export class Refused extends Error {
  constructor(readonly status: number, readonly problem: Problem) {
    super(problem.detail);
  }
}

/** address is that of a request, with a query in it. */
export function address(path: string, query: Query = {}): string {
  const q = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) {
    if (Array.isArray(value)) value.forEach((v) => q.append(name, v));
    else if (value !== undefined && value !== null && value !== "" && value !== false) q.set(name, String(value));
  }
  const text = q.toString();
  return text ? `${path}?${text}` : path;
}

/** get asks for something. */
export const get = <T>(path: string, query?: Query, signal?: AbortSignal) => ask<T>(address(path, query), { signal });

/** send changes something. */
export const send = <T>(method: "POST" | "PUT" | "PATCH" | "DELETE", path: string, body?: unknown) =>
  ask<T>(path, { method, headers: body === undefined ? {} : { "Content-Type": "application/json" }, body: body === undefined ? undefined : JSON.stringify(body) });

async function ask<T>(url: string, init: RequestInit): Promise<T> {
  let r: Response;
  try {
    r = await fetch(url, init);
  } catch (e) {
    if ((e as Error).name === "AbortError") throw e;
    throw new Refused(0, { title: "No answer", status: 0, detail: "The station does not answer; is it running?" });
  }
  if (r.status === 401) document.dispatchEvent(new CustomEvent("ionoscribe:enter"));
  if (!r.ok) {
    const p = await r.json().catch(() => ({ title: r.statusText, status: r.status, detail: `The station answered ${r.status}.` }));
    throw new Refused(r.status, p as Problem);
  }
  return (r.status === 204 ? undefined : await r.json()) as T;
}
