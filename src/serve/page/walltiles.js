// Tiles of cameras. In: state, plan, the time. Out: for each camera what to set, what comes
// next and how urgent it is; buttons in order of urgency.

import { button, make, setText } from "./dom.js";
import { day, nowMs } from "./walldata.js";
import { expectedLines } from "./wallsky.js";
import { isClosed, isWideOpen, setT } from "./words.js";

const SOON_S = 120;
const GOES_S = 1200; // a camera that goes to another place is told so long before
const PAST_S = 30; // an action is shown so long after its time
const WORDS = { hold: "one iris", ride: "ride", choose: "sun or shade", none: "no view of the field" };
export const LENS = { on_element: "sun on lens", in_frame: "SUN IN FRAME" };
export const LEVELS = ["now", "soon", "ride", "calm", "out"];
export const SIGNS = { now: "\u25b2", soon: "\u25c6", ride: "\u25cf", calm: "\u25cb", out: "\u2715" };

// Index of the minute that a time lies in; its end knows all that was entered before.
export function minute(plan, seconds) {
  const { epoch_s } = plan;
  if (!epoch_s.length) return 0;
  const step = epoch_s.length > 1 ? epoch_s[1] - epoch_s[0] : 60;
  return Math.min(epoch_s.length - 1, Math.max(0, Math.ceil((seconds - epoch_s[0]) / step)));
}

export function stopsBetween(from, to) {
  return 2 * Math.log2(to / from);
}

// "close 0.7", "open 1.2", "as it is".
export function moveWords(from, to) {
  const stops = stopsBetween(from, to);
  if (Math.abs(stops) < 0.05) return "as it is";
  return `${stops > 0 ? "close" : "open"} ${Math.abs(stops).toFixed(1)}`;
}

export function ndWords(stops) {
  if (stops === null || stops === undefined) return "";
  if (stops <= 0) return "clear";
  return Number.isInteger(stops) ? `ND 1/${2 ** stops}` : `ND ${stops} stops`;
}

// What a camera needs now; `of`: the day of its ground.
export function tileOf(k, seconds = nowMs() / 1000, of = day) {
  const camera = of.plan.cameras[k];
  const said = of.state.cameras[k] ?? {};
  const at = minute(of.plan, seconds);
  const verdict = camera.verdict[at] ?? "none";
  const asked = { set: camera.t_set[at], sun: camera.t_sun[at], shade: camera.t_shade[at] };
  const range = camera.t_lens[at];
  const each = (work) => Object.fromEntries(Object.entries(asked).map(([light, value]) => [light, value && work(value)]));
  const t = each((value) => setT(value, range));
  const wideOpen = each((value) => isWideOpen(value, range));
  const closed = each((value) => isClosed(value, range));
  const cues = of.plan.cues.filter((cue) => cue.cameras.includes(k) && cue.key_action && cue.epoch_s > seconds - PAST_S);
  const next = cues[0] ?? null;
  const left = next ? next.epoch_s - seconds : Infinity;
  const lens = camera.lens[at];
  const iris = said.iris && said.iris.t_number;
  const played = ["runs", "stopped", "break"].includes(of.state.play);
  let level = "calm";
  if (said.out) level = "out";
  else if (left <= (next?.lead_s ?? 0) || lens === "in_frame") level = "now";
  else if (left <= SOON_S) level = "soon";
  else if (verdict !== "hold" && verdict !== "none" && played) level = "ride";
  return { k, camera, said, verdict, t, wideOpen, closed, next, left, lens, iris, level, uncertain: camera.t_uncertain?.[at] ?? null, nd: camera.nd[at], split: camera.split_turf[at], inShot: camera.in_shot[at] };
}

// Own cameras first, then the most urgent, then whose change comes first, then by number.
export function order(tiles, own) {
  const rank = (tile) => [own && tile.camera.operator === own ? 0 : 1, LEVELS.indexOf(tile.level), tile.left];
  return [...tiles].sort((a, b) => {
    const [x, y] = [rank(a), rank(b)];
    for (let i = 0; i < x.length; i += 1) if (x[i] !== y[i]) return x[i] - y[i];
    return a.k - b.k;
  });
}

export function leftWords(seconds) {
  if (!Number.isFinite(seconds)) return "";
  if (seconds <= -120) return `${Math.round(-seconds / 60)} min ago`;
  if (seconds < 0) return `${Math.round(-seconds)} s ago`;
  if (seconds < 600) return `in ${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
  return `in ${Math.round(seconds / 60)} min`;
}

// The light that its iris is set for: one for both, else the nearer of sun and shade where its own
// iris is known.
function light({ t, wideOpen, closed, verdict, iris }) {
  const alike = (wideOpen.sun && wideOpen.shade) || (closed.sun && closed.shade);
  if (verdict === "hold" || !t.sun || alike) return "set";
  return iris && Math.abs(stopsBetween(iris, t.sun)) < Math.abs(stopsBetween(iris, t.shade)) ? "sun" : "shade";
}

function tWords(tile) {
  const { t, wideOpen, closed, verdict, said } = tile;
  if (said.out && said.away && said.goes?.has_been) return "AWAY";
  if (said.out) return said.stands_in_for || said.goes?.has_been ? `for ${said.stands_in_for ?? said.goes.camera}` : "OUT";
  if (verdict === "none" || !t.set) return "\u2013";
  if (!isPair(tile)) return `T${t[light(tile)].toFixed(1)}`;
  return `${closed.sun ? "closed" : `T${t.sun.toFixed(1)}`} \u2013 ${wideOpen.shade ? "open" : t.shade.toFixed(1)}`;
}

// How far the iris may be off for what is unknown of the air; that it is at an end of the lens,
// where there is less light than it asks for or more.
function sureText(tile) {
  const { uncertain, said, verdict, t, wideOpen, closed } = tile;
  if (said.out || verdict === "none" || !t.set) return "";
  if (!isPair(tile) && wideOpen[light(tile)]) return "wide open";
  if (!isPair(tile) && closed[light(tile)]) return "closed";
  return uncertain >= 0.05 ? `\u00b1${uncertain.toFixed(1)}` : "";
}

// Beside the T-number: how far to go, else how sure it is.
function moveText(tile) {
  const { t, iris, said } = tile;
  if (!iris || said.out || !t.set) return isPair(tile) || !sureText(tile) ? "" : ` ${sureText(tile)}`;
  return ` ${moveWords(iris, t[light(tile)])}`;
}

// Two T-numbers, in sun and in shade, fill the line.
function isPair(tile) {
  return tile.verdict !== "none" && light(tile) !== "set" && !tile.iris;
}

export function stateText(tile) {
  const words = tile.said.out ? "out" : WORDS[tile.verdict];
  const sure = sureText(tile);
  if (!sure || !(isPair(tile) || tile.iris)) return `${SIGNS[tile.level]} ${words}`;
  return `${SIGNS[tile.level]} ${words === WORDS.choose ? "sun/shade" : words} ${sure}`;
}

function filterText(tile) {
  if (tile.said.out) return "";
  const stands = tile.said.stand_in ?? (tile.said.comes?.has_been ? tile.said.comes.camera : null);
  const nd = tile.said.nd_stops ?? tile.nd;
  const less = tile.wideOpen.set && nd > 0 ? ": less ND" : "";
  return [`${ndWords(nd)}${less}`, LENS[tile.lens], stands && `(${stands})`].filter(Boolean).join("  ");
}

function sureWords(seconds) {
  return seconds < 60 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 60)} min`;
}

export function nextText(tile, seconds = nowMs() / 1000) {
  const { comes, goes } = tile.said;
  const away = goes && !goes.has_been ? goes.epoch_s - seconds : Infinity;
  if (tile.said.out) return comes && !comes.has_been ? `${leftWords(comes.epoch_s - seconds)} ${comes.camera} comes over` : tile.said.away ? `at ${goes.camera}` : "";
  if (away < Math.min(tile.left, GOES_S)) return `${leftWords(away)} over to ${goes.camera}`;
  if (!tile.next) return "nothing to do";
  const sure = tile.next.uncertain_s ? ` \u00b1${sureWords(tile.next.uncertain_s)}` : "";
  return `${leftWords(tile.left)}${sure} ${tile.next.what.replace(`${tile.camera.name}: `, "").replace(` of ${tile.camera.name}`, "")}`;
}

// On a small tile, what comes next has one line beside its time.
const BRIEFLY = [["expose for sun or for shade", WORDS.choose], ["one iris for both", WORDS.hold], ["floodlights go ", "floodlights "], ["sun on the front element", LENS.on_element], [/^white balance to (\d+ K).*/, "balance $1"], [/ to ND /, " to "]];

function briefly(words) {
  return BRIEFLY.reduce((text, [long, short]) => text.replace(long, short), words);
}

const nodes = new Map();

function nodeOf(k, open) {
  if (!nodes.has(k)) {
    const parts = ["name", "t", "state", "filter", "expected", "next"].map((name) => make("span", { class: name }));
    const node = button("", () => open(k), { class: "tile" });
    parts[0].append(make("span"), make("span", { class: "who" }));
    parts[1].append(make("span"), make("small"));
    parts[4].append(make("span"), make("span"));
    node.replaceChildren(...parts);
    nodes.set(k, node);
  }
  return nodes.get(k);
}

export function drawTiles(box, open) {
  if (!day.plan || !day.state) return [];
  const own = day.state.you.role === "operate" ? day.state.you.name : null;
  // one time for all, or equals would change places with every frame
  const seconds = nowMs() / 1000;
  const tiles = order(day.plan.cameras.map((_, k) => tileOf(k, seconds)), own);
  box.classList.toggle("few", tiles.length <= 12);
  box.classList.toggle("six", tiles.length <= 6);
  box.classList.toggle("dense", Boolean(day.outlook) && tiles.length > 12);
  tiles.forEach((tile, place) => {
    const node = nodeOf(tile.k, open);
    const expected = expectedLines(tile, seconds);
    const wanted = `tile ${tile.level}${expected.length ? " expects" : ""}`;
    if (node.className !== wanted) node.className = wanted;
    const [name, t, state, filter, either, next] = node.children;
    setText(name.children[0], tile.camera.name);
    setText(name.children[1], tile.camera.operator);
    setText(t.children[0], tWords(tile));
    setText(t.children[1], moveText(tile));
    setText(state, stateText(tile));
    setText(filter, filterText(tile));
    [0, 1].forEach((line) => setText(either.children[line], expected[line] ?? ""));
    setText(next, expected.length && box.classList.contains("dense") ? briefly(nextText(tile)) : nextText(tile));
    t.classList.toggle("two", t.children[0].textContent.includes("\u2013") || moveText(tile) !== "");
    // moved only where the order has changed: a finger may be on its way
    if (box.children[place] !== node) box.insertBefore(node, box.children[place] ?? null);
  });
  return tiles;
}
