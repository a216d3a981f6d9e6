// The shell of the page: head, views, shortcuts, notices.
import { Refused } from "./api.ts";
import { enter } from "./enter.ts";
import { head, mark } from "./head.ts";
import { fill, h } from "./html.ts";
import { press } from "./keys.ts";
import { current, show } from "./router.ts";
import type { View } from "./view.ts";

const main = document.getElementById("view")!;
const notices = document.getElementById("notices")!;
const noticeLasts = 6_000; // ms: long enough to read a line twice

async function move() {
  try {
    await show(put);
  } catch (e) {
    const text = e instanceof Refused ? e.message : `This view cannot be shown: ${(e as Error).message}.`;
    document.title = "Ionoscribe";
    fill(main, h("h1", null, "Not to be shown"), h("p.error", { role: "alert" }, text), h("p", null, h("a", { href: "/" }, "What is on the air now")));
  }
}

function put(view: View | null, moved: boolean) {
  mark(location.pathname);
  document.title = view ? `${view.title} – Ionoscribe` : "Ionoscribe";
  if (!moved) return;
  if (view) fill(main, view.root);
  else fill(main, h("h1", null, "There is no such page"), h("p", null, h("a", { href: "/" }, "What is on the air now")));
  if (started) {
    scrollTo(0, 0);
    main.focus({ preventScroll: true });
  } else requestAnimationFrame(() => setTimeout(() => performance.mark("interactive"))); // when it is on the screen
  started = true;
}
let started = false;

document.addEventListener("click", (e) => {
  const a = (e.target as Element).closest?.("a");
  if (!a || e.defaultPrevented || e.button || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey || a.target || a.hasAttribute("download")) return;
  const url = new URL(a.href, location.href);
  if (url.origin !== location.origin || url.pathname.startsWith("/api/") || (url.hash && url.pathname === location.pathname)) return;
  e.preventDefault();
  history.pushState(null, "", url);
  move();
});
addEventListener("popstate", move);
addEventListener("ionoscribe:moved", move);
document.addEventListener("keydown", (e) => press(e, current()));
document.addEventListener("ionoscribe:enter", () => enter(move));
document.addEventListener("ionoscribe:notice", (e) => {
  const { text, bad } = (e as CustomEvent).detail;
  const n = h(bad ? "p.notice.bad" : "p.notice", null, text);
  notices.append(n);
  setTimeout(() => n.remove(), noticeLasts);
});

head(document.getElementById("head")!);
move();
