// Text: the transcript of a transmission, and what is known of it.
import { address, get } from "../api.ts";
import { frequency, modeMark } from "../format.ts";
import { fill, h } from "../html.ts";
import { listen } from "../socket.ts";
import { join } from "../texts/arriving.ts";
import { copy } from "../texts/copy.ts";
import { curve } from "../texts/curve.ts";
import { charts, known } from "../texts/known.ts";
import { note, noted } from "../texts/note.ts";
import { Transcript } from "../texts/transcript.ts";
import { clock, moment, time } from "../time.ts";
import type { Going, Record_, Session, Transmission } from "../types.ts";
import { go, type Maker, type View } from "../view.ts";

const exports: [string, string][] = [["text", "text"], ["csv", "table (CSV)"], ["json", "JSON"], ["adif", "ADIF"]];
const [firstLines, moreLines] = [300, 2000]; // that are asked for at a time: the first ones are to be there soon
const nearEnd = 80; // px from the end of the page: whoever is there wants to see what arrives

export const make: Maker = async (place) => {
  const id = Number(place.at.transmission);
  const path = `/api/transmissions/${id}`;
  const session = get<Session>("/api/session").catch(() => null);
  let words = place.query.get("words") ?? "";
  let request = new AbortController();
  const part = (from_line: number, signal?: AbortSignal) => get<Record_>(path, { words, from_line: from_line || null, lines: from_line ? moreLines : firstLines }, signal);
  let t = await part(0);
  const mayChange = (await session)?.role === "change";

  const transcript = new Transcript();
  const heading = h("h1");
  const line = h("p.text-line-of");
  const aside = h("div");
  const found = h("span.figure", { role: "status" });
  const field = h("input", { type: "search", id: "text-words", spellcheck: "false", autocomplete: "off", maxlength: 500 });
  const doubt = h("button", { type: "button", "aria-pressed": "true", onclick: () => markDoubt(doubt.getAttribute("aria-pressed") !== "true") }, "Mark doubt");
  const [up, down] = [-1, 1].map((by) => h("button", { type: "button", "aria-label": by < 0 ? "previous one found" : "next one found", onclick: () => step(by) }, by < 0 ? "↑" : "↓"));
  const empty = h("p.soft");
  const root = h("section.text", null,
    h("div.text-main", null, heading, line,
      h("div.bar", null,
        h("label.text-words", { for: "text-words" }, "Words in this text", field), h("span.text-found", null, up, down, found),
        doubt, h("button", { type: "button", onclick: () => copy(transcript.text(false)) }, "Copy text"), h("button", { type: "button", onclick: () => copy(transcript.text(true)) }, "Copy with times")),
      empty, transcript.root, transcript.spoken),
    h("aside.text-aside", { "aria-label": "About this transmission" }, aside));

  let current = -1; // of the places that were found
  let typing = 0;
  field.addEventListener("input", () => {
    clearTimeout(typing);
    typing = window.setTimeout(() => go(address(location.pathname, { words: field.value.trim() }), true), 250);
  });

  function step(by: number) {
    const marks = transcript.marks();
    if (!marks.length) return;
    marks[current]?.classList.remove("current");
    current = current < 0 && by < 0 ? marks.length - 1 : (current + by + marks.length) % marks.length;
    marks[current].classList.add("current");
    marks[current].scrollIntoView({ block: "center" });
    tell();
  }

  function tell() {
    const n = transcript.marks().length;
    found.textContent = !words ? "" : n ? `${current < 0 ? "" : `${current + 1} of `}${n} found` : "not found";
    up.disabled = down.disabled = !n;
  }

  function markDoubt(on: boolean) {
    doubt.setAttribute("aria-pressed", String(on));
    transcript.root.classList.toggle("plain", !on);
    try {
      localStorage.setItem("mark-doubt", on ? "yes" : "no");
    } catch { /* the browser keeps nothing; the switch works until the page is left */ }
  }

  function describe() {
    const title = t.title || `${t.mode} at ${frequency(t.hz, t.on_air)}`;
    heading.textContent = title;
    view.title = title;
    document.title = `${title} – Ionoscribe`;
    fill(line, time(t.begin_utc, moment), " to ", t.state === "arriving" ? "now, still arriving" : time(t.end_utc, clock), " ", modeMark(t.mode), " ", h("span.figure", null, frequency(t.hz, t.on_air)), ` ${t.receiver}`);
    empty.textContent = transcript.lines.length ? "" : t.state === "arriving" ? "Nothing has been printed yet." : "It has no text.";
  }

  function about() {
    const level = t.levels.length > 1 && curve(t.levels, (ms) => transcript.goTo(transcript.at(ms)));
    const kept = (now: Transmission) => {
      t = { ...t, title: now.title, notes: now.notes, rating: now.rating, favourite: now.favourite };
      describe();
    };
    fill(aside, charts(t), mayChange ? note(t, kept) : noted(t),
      h("details", { open: innerWidth > 960 }, h("summary", null, "What is known"), known(t), level),
      h("p", null, "Export: ", exports.map(([form, name], i) => [i > 0 && ", ", h("a", { href: address(`${path}/export`, { form }), download: true }, name)])));
  }

  /** load puts the text in, part by part. What is there already stays where it is. */
  async function load(first?: Record_) {
    request.abort();
    const { signal } = (request = new AbortController());
    current = -1;
    try {
      let p = first ?? (await part(0, signal));
      t = { ...p, text: [] }; // the transcript has it
      transcript.put(p.text, 0);
      describe();
      tell();
      open();
      while (p.next_line && !signal.aborted) {
        p = await part(p.next_line, signal);
        if (!signal.aborted) transcript.put(p.text, p.text[0]?.line ?? 0);
        tell();
        open();
      }
    } catch (e) {
      if (signal.aborted) return;
      found.textContent = (e as Error).message;
    }
  }

  /** open goes to the line that the address names, or to the first place that was found, when it is there. */
  let opened = !words;
  function open() {
    const line = place.query.get("line");
    if (opened || (line ? transcript.lines.length <= Number(line) : !transcript.marks().length)) return;
    opened = true;
    requestAnimationFrame(() => (line ? transcript.goTo(Number(line)) : step(1)));
  }

  /** follow keeps the end in sight while more arrives, if it was. */
  function follow(change: () => void) {
    const page = document.scrollingElement!;
    const end = page.scrollHeight - page.scrollTop - page.clientHeight < nearEnd;
    change();
    if (end) page.scrollTop = page.scrollHeight;
  }

  async function ended() {
    const latest = await part(0);
    follow(() => {
      transcript.clear();
      load(latest);
    });
    about();
  }

  let stop = () => {};
  let ready = false; // the state was heard, and what comes goes on from there
  function arrives() {
    stop = listen({
      now: (n) => {
        const g: Going | undefined = n.transmissions.find((x) => x.transmission === id);
        if (!g) return ended();
        const { lines, from } = join(transcript.lines, g.text);
        follow(() => transcript.put(lines, from));
        ready = true;
        describe();
      },
      event: (e) => {
        if (e.what === "text" && e.id === id && ready) follow(() => transcript.arrive(e.chars, e.utc));
        else if ((e.what === "ended" && e.transmission.transmission === id) || (e.what === "chart" && e.id === id)) ended();
      },
    });
  }

  const view: View = {
    title: "Text",
    root,
    keys: [
      { key: "/", does: "to the words", run: () => field.focus() },
      { key: "n", does: "next one found", run: () => step(1) },
      { key: "p", does: "previous one found", run: () => step(-1) },
      { key: "m", does: "mark doubt, or not", run: () => markDoubt(doubt.getAttribute("aria-pressed") !== "true") },
      { key: "y", does: "copy the text", run: () => copy(transcript.text(false)) },
    ],
    change(p) {
      if (Number(p.at.transmission) !== id) return false;
      words = p.query.get("words") ?? "";
      if (field !== document.activeElement) field.value = words;
      load();
      return true;
    },
    close() {
      clearTimeout(typing);
      stop();
      request.abort();
    },
  };

  field.value = words;
  let kept = "yes";
  try {
    kept = localStorage.getItem("mark-doubt") ?? kept;
  } catch { /* as above */ }
  markDoubt(kept === "yes");
  about();
  load(t).then(() => t.state === "arriving" && arrives());
  return view;
};
