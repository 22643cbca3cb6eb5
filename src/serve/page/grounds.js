// All grounds of the day on one screen. In: the list of grounds, the state and the plan of
// each, events of them all. Out: a card for each ground with its worst verdict now, its next
// change and its cameras in trouble; one tap leads to its wall. Without the network it goes
// on with the last plans and its own clock, as the wall does.

import { get } from "./api.js";
import { button, byId, make, oncePerFrame, setText } from "./dom.js";
import { LISTEN_AGAIN_MS, LOST_AFTER_MS, clockText, nowMs, setClock } from "./walldata.js";
import { LENS, LEVELS, leftWords, order, stateText, tileOf } from "./walltiles.js";

const MAX_AT_ONCE = 3; // browsers open six connections to a host, and the stream is one
const ASK_AGAIN_MS = 2000;
const LOOK_AGAIN_MS = 30_000; // play goes on without an entry
const PLAY = { before: "before play", runs: "play", stopped: "PLAY STOPPED", break: "break", over: "over" };
const LISTED_PROBLEMS = 3;

const grounds = new Map(); // by address: the list's, with `state`, `plan` and `refused`
let list = null;
let heard = 0;
let lost = false;

// ---- what the server has ----

const waiting = new Map();
let asking = 0;

// One question of a name at a time waits; so many are out at once.
function ask(name, work) {
  waiting.set(name, work);
  pump();
}

function pump() {
  while (asking < MAX_AT_ONCE && waiting.size) {
    const [name, work] = waiting.entries().next().value;
    waiting.delete(name);
    asking += 1;
    const told = () => {
      heard = performance.now();
    };
    work().then(told, () => setTimeout(() => ask(name, work), ASK_AGAIN_MS)).finally(() => {
      asking -= 1;
      draw();
      pump();
    });
  }
}

function askList() {
  ask("list", async () => {
    const asked = performance.now();
    list = await get("/api/grounds");
    setClock(list.now_ms, asked, list.speed);
    for (const one of list.grounds) {
      grounds.set(one.address, { ...grounds.get(one.address), ...one });
      if (!one.problems.length) askState(one.address);
    }
  });
}

function askState(address) {
  ask(`state ${address}`, async () => {
    const one = grounds.get(address);
    const before = one.state;
    one.state = await get(`/of/${address}/api/day`);
    // a plan is asked for once it is made: to wait for one would hold a connection
    const isNew = before?.planned !== one.state.planned || before?.revision !== one.state.revision;
    if (one.state.planned !== null && (isNew || !one.plan)) askPlan(address);
  });
}

function askPlan(address) {
  ask(`plan ${address}`, async () => {
    grounds.get(address).plan = await get(`/of/${address}/api/day/plan`);
  });
}

function listen() {
  const stream = new EventSource("/api/grounds/events");
  stream.addEventListener("open", askList);
  stream.addEventListener("missed", askList);
  stream.addEventListener("beat", () => {
    heard = performance.now();
  });
  stream.addEventListener("day", (event) => {
    heard = performance.now();
    const { ground, entry, planned } = JSON.parse(event.data);
    // another text of its file: it may read now, or no longer
    if (entry === 0 || !grounds.has(ground)) return askList();
    askState(ground);
    if (planned) askPlan(ground);
  });
  stream.addEventListener("error", () => {
    if (stream.readyState === EventSource.CLOSED) setTimeout(listen, LISTEN_AGAIN_MS);
  });
}

// ---- cards ----

// What a ground needs now; its most urgent camera first.
function cardOf(one, seconds) {
  if (one.problems.length) return { one, level: "broken", tiles: [] };
  if (!one.state || !one.plan) return { one, level: "calm", tiles: null };
  const tiles = order(one.plan.cameras.map((_, k) => tileOf(k, seconds, one)), null);
  return { one, level: tiles[0]?.level ?? "calm", tiles };
}

function troubleText(tiles) {
  const named = (words, which) => {
    const names = tiles.filter(which).map((tile) => tile.camera.name);
    return names.length ? `${words}: ${names.join(", ")}` : null;
  };
  return [
    named("Out", (tile) => tile.said.out && !tile.said.stands_in_for && !tile.said.goes),
    named("Sun in frame", (tile) => !tile.said.out && tile.lens === "in_frame"),
    named("Sun on lens", (tile) => !tile.said.out && tile.lens === "on_element"),
  ].filter(Boolean).join(". ");
}

function worstText([tile]) {
  return tile ? `${stateText(tile)}, ${tile.camera.name}` : "";
}

function nextText(tiles, seconds) {
  const [first] = tiles.filter((tile) => tile.next).sort((a, b) => a.left - b.left);
  return first ? `${leftWords(first.next.epoch_s - seconds)} ${first.next.what}` : "nothing to do";
}

function momentText({ state }, seconds) {
  const next = state.moments.find((moment) => !moment.known);
  if (!next) return "";
  const left = next.epoch_s - seconds;
  return `${next.name} ${clockText(next.epoch_s * 1000, false, state)}, ${left < 0 ? `${leftWords(left)}: not entered` : leftWords(left)}`;
}

const nodes = new Map();

function nodeOf(one) {
  if (!nodes.has(one.address)) {
    const parts = ["name", "worst", "trouble", "next", "moment"].map((name) => make("span", { class: name }));
    parts[0].append(make("span"), make("span", { class: "who" }));
    const card = make("a", { class: "tile", href: `/of/${one.address}/wall` }, ...parts);
    const page = list?.here ? make("a", { href: `/of/${one.address}`, text: "Page of the ground" }) : null;
    nodes.set(one.address, make("div", { class: "ground" }, card, page));
  }
  return nodes.get(one.address);
}

function drawCard({ one, level, tiles }, seconds) {
  const node = nodeOf(one);
  const [card] = node.children;
  const wanted = `tile ${level}`;
  if (card.className !== wanted) card.className = wanted;
  const [name, worst, trouble, next, moment] = card.children;
  setText(name.children[0], one.title ?? one.name);
  const alike = [...grounds.values()].some((other) => other !== one && other.title === one.title);
  setText(name.children[1], [alike && one.title ? one.name : null, one.state ? PLAY[one.state.play] : null].filter(Boolean).join(", "));
  if (level === "broken") {
    const lines = one.problems.slice(0, LISTED_PROBLEMS).map(({ line, text }) => (line ? `line ${line}: ${text}` : text));
    const more = one.problems.length - lines.length;
    setText(worst, "\u2715 the file has mistakes");
    setText(next, [...lines, more > 0 ? `and ${more} more` : null].filter(Boolean).join(" "));
    [trouble, moment].forEach((part) => setText(part, ""));
    return node;
  }
  setText(worst, tiles ? worstText(tiles) : "planning ...");
  setText(trouble, tiles ? troubleText(tiles) : "");
  setText(next, tiles ? nextText(tiles, seconds) : "");
  setText(moment, one.state ? momentText(one, seconds) : "");
  return node;
}

const draw = oncePerFrame(() => {
  const seconds = nowMs() / 1000;
  const all = list?.grounds.map(({ address }) => cardOf(grounds.get(address), seconds)) ?? [];
  const first = all.find(({ one }) => one.state)?.one.state;
  if (first) setText(byId("clock"), clockText(nowMs(), true, first));
  const rank = (card) => ["broken", ...LEVELS].indexOf(card.level === "out" ? "ride" : card.level);
  const sorted = [...all].sort((a, b) => rank(a) - rank(b));
  const box = byId("grounds");
  sorted.forEach((card, place) => {
    const node = drawCard(card, seconds);
    // moved only where the order has changed: a finger may be on its way
    if (box.children[place] !== node) box.insertBefore(node, box.children[place] ?? null);
  });
  const count = (level) => all.filter((card) => card.level === level).length;
  const words = [[count("now"), "now"], [count("soon"), "soon"], [count("broken"), "with mistakes"]];
  setText(byId("sum"), [`${all.length} grounds`, ...words.filter(([number]) => number).map(([number, word]) => `${number} ${word}`)].join(", "));
  setText(byId("link"), lost ? "NO NETWORK: last plan, own clock" : "");
  byId("link").classList.toggle("lost", lost);
  byId("codes").hidden = !list?.here;
  setText(byId("left-out"), (list?.left_out ?? []).map(({ file, why }) => `Left out: ${file}: ${why}`).join(" "));
});

// ---- letting screens in ----

async function openShare() {
  const box = byId("share");
  const { passes } = await get("/api/day/passes");
  const title = (name) => [...grounds.values()].find((one) => one.name === name)?.title ?? name;
  const card = (pass) => make("figure", {}, make("img", { src: pass.qr, alt: `QR picture of ${pass.url}` }),
    make("figcaption", {}, make("b", { text: pass.code }), make("div", { text: pass.words }), make("div", { text: pass.url })));
  const parts = [...new Set(passes.map((pass) => pass.ground))].flatMap((name) => [
    make("h3", { text: name ? title(name) : "The whole day" }),
    ...passes.filter((pass) => pass.ground === name).map(card),
  ]);
  box.replaceChildren(make("div", { class: "row" }, make("h2", { text: "Let screens in" }), button("Close", () => box.close(), { class: "close" })), make("div", { class: "codes" }, ...parts));
  box.showModal();
}

document.documentElement.dataset.theme = matchMedia("(prefers-color-scheme: light)").matches ? "day" : "night";
byId("codes").addEventListener("click", () => openShare().catch((refusal) => setText(byId("told"), refusal.message)));
listen();
askList();
setInterval(() => {
  lost = performance.now() - heard > LOST_AFTER_MS;
  draw();
}, 500);
setInterval(() => list?.grounds.filter((one) => !one.problems.length).forEach((one) => askState(one.address)), LOOK_AGAIN_MS);
