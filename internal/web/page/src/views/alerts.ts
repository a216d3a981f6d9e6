// Alerts: what the operator was told, what came of it on each way out, and the rules.
import { edit } from "../alerts/editor.ts";
import { heldBack, row } from "../alerts/list.ts";
import { list } from "../alerts/rules.ts";
import type { Alerts, Rules, Told } from "../alerts/shape.ts";
import { get, send } from "../api.ts";
import { fill, h } from "../html.ts";
import type { Session } from "../types.ts";
import { notice, type Maker, type View } from "../view.ts";

const again = 20_000; // ms between two looks: deliveries have no events
const many = 50; // alerts at a time

export const make: Maker = async () => {
  let alerts: Told[] = [];
  let next: number | undefined;
  let rules: Rules | null = null;
  let change = false;
  let timer = 0;
  const request = new AbortController();
  const state = h("p", { role: "status" });
  const fault = h("p.error", { role: "alert" });
  const held = h("div");
  const shown = h("ul.alerts");
  const all = h("button", { type: "button", onclick: () => acknowledge(alerts[0]?.id ?? 0, true) }, "Acknowledge all");
  const more = h("button", { type: "button", onclick: earlier }, "Earlier alerts");
  const ruleList = h("div");
  const add = h("button", { type: "button", onclick: () => rules && edit(null, rules, change, loadRules) }, "A new rule");
  const root = h("section.alerts-view", null,
    h("div.alerts-head", null, h("h1", null, "Alerts"), state, all), fault, held, shown, more,
    h("section", { "aria-labelledby": "rules" }, h("div.alerts-head", null, h("h2", { id: "rules" }, "Rules"), add), ruleList));

  async function attempt(does: () => Promise<void>) {
    try {
      await does();
      fault.textContent = "";
    } catch (e) {
      if ((e as Error).name !== "AbortError") fault.textContent = (e as Error).message;
    }
  }

  /** load looks for what is new; what was loaded of earlier ones stays, as their deliveries have ended. */
  const load = (first?: Promise<void>) => attempt(async () => {
    clearTimeout(timer);
    timer = window.setTimeout(load, again);
    const a = await get<Alerts>("/api/alerts", { limit: many }, request.signal);
    await first;
    const oldest = a.alerts.at(-1)?.id ?? 0;
    const before = alerts.filter((x) => x.id < oldest);
    alerts = [...a.alerts, ...before];
    if (!before.length) next = a.next;
    show(a);
  });

  async function earlier() {
    await attempt(async () => {
      const a = await get<Alerts>("/api/alerts", { limit: many, before: next }, request.signal);
      alerts.push(...a.alerts);
      next = a.next;
      show(a);
    });
  }

  function show(a: Alerts) {
    const told = a.unacknowledged ? `${a.unacknowledged} not acknowledged` : alerts.length ? "All are acknowledged." : "There was no alert yet.";
    if (state.textContent !== told) state.textContent = told;
    state.classList.toggle("failing", a.unacknowledged > 0);
    all.hidden = !change || a.unacknowledged < 2;
    more.hidden = next === undefined;
    fill(held, a.held.length > 0 && heldBack(a.held));
    const focused = (document.activeElement?.closest("[data-id]") as HTMLElement | null)?.dataset.id;
    fill(shown, alerts.map((x) => row(x, change, (id) => void acknowledge(id, false))));
    if (focused) focus(focused);
  }

  /** focus goes to the button of an alert, or of the next one that has one. */
  function focus(id: string) {
    const rows = [...shown.children] as HTMLElement[];
    const at = rows.findIndex((r) => r.dataset.id === id);
    const button = [...rows.slice(Math.max(0, at)), ...rows].map((r) => r.querySelector("button")).find((b) => b);
    (button ?? add).focus();
  }

  async function acknowledge(id: number, before: boolean) {
    if (!id || !change) return;
    await attempt(async () => {
      const n = before ? await send<{ acknowledged: number }>("POST", "/api/alerts/acknowledge", { up_to: id }) : await send<{ acknowledged: number }>("POST", `/api/alerts/${id}/acknowledge`);
      const utc = new Date().toISOString();
      alerts.filter((x) => x.id < id && before && !x.acknowledged_utc).forEach((x) => (x.acknowledged_utc = utc)); // earlier ones are not loaded again
      notice(n.acknowledged === 1 ? "One alert is acknowledged." : `${n.acknowledged} alerts are acknowledged.`);
      await load();
    });
  }

  const loadRules = (first?: Promise<void>) => attempt(async () => {
    const r = await get<Rules>("/api/rules", {}, request.signal);
    await first;
    rules = r;
    fill(ruleList, list(rules, change, loadRules));
    add.textContent = change ? "A new rule" : "Try a rule";
  });

  const first = () => {
    const at = document.activeElement?.closest("[data-id]") as HTMLElement | null;
    const open = at ? alerts.find((a) => String(a.id) === at.dataset.id && !a.acknowledged_utc) : alerts.find((a) => !a.acknowledged_utc);
    if (open) void acknowledge(open.id, false);
  };
  const view: View = {
    title: "Alerts",
    root,
    keys: [
      { key: "a", does: "acknowledge the alert at hand, or the latest", run: first },
      { key: "A", does: "acknowledge all", run: () => void acknowledge(alerts[0]?.id ?? 0, true) },
      { key: "n", does: "a new rule", run: () => add.click() },
      { key: "r", does: "look again", run: () => void load() },
    ],
    close() {
      request.abort();
      clearTimeout(timer);
    },
  };
  const session = attempt(async () => void (change = (await get<Session>("/api/session")).role === "change"));
  await Promise.all([load(session), loadRules(session)]);
  return view;
};
