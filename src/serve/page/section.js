// The cross-section of the chosen thing, which shows what each number means. In: its numbers,
// also while they are typed. Out: a drawing in metres (outward to the right, up), handles to drag.

import { atMostEvery, byId, makeSvg, oncePerFrame } from "./dom.js";
import { makeHandle } from "./drag.js";
import { moved, sure } from "./handles.js";
import { spreadApart } from "./plan.js";
import { dimension, nameOf, on, parts, plain, shownNumber, state } from "./state.js";
import { told, wordsOf } from "./units.js";

const PERSON_M = 1.8; // a figure, for the eye
const MARGIN = { left: 34, right: 66, top: 40, low: 58 };
const HEIGHT_PX = 250;
const SECTION_MS = 120; // between two drawings while a hand is on the plan
const GRIP_PX = 28; // from one handle to the next at least

// ---- what each kind of thing looks like from the side ----
// A profile: { shapes: [{ points, kind }], marks: [{ key, from, to, side }], grips: [...] };
// `side` says where the line of a dimension lies: "low" under the ground, "left"/"right" of it.

function standProfile(table) {
  const value = (key, otherwise = 0) => shownNumber(`${table}.${key}`) ?? otherwise;
  const bowl = parts(table)[0] === "bowl";
  const s = bowl ? 3 : value("setback_m");
  const [d, low, high] = [value("depth_m"), value("front_height_m"), value("back_height_m")];
  const shapes = [{ kind: "deck", points: [[s, 0], [s, low], [s + d, high], [s + d, 0]] }];
  const marks = [
    { key: "depth_m", from: [s, 0], to: [s + d, 0], side: "low" },
    { key: "front_height_m", from: [s, 0], to: [s, low], side: "left" },
    { key: "back_height_m", from: [s + d, 0], to: [s + d, high], side: "right" },
  ];
  if (!bowl) marks.unshift({ key: "setback_m", from: [0, 0], to: [s, 0], side: "low" });
  const grips = [
    { id: "front", at: [s, low], label: "front row", keys: bowl ? { front_height_m: [0, 1] } : { setback_m: [1, 0], front_height_m: [0, 1] } },
    { id: "back", at: [s + d, high], label: "back of the deck", keys: { depth_m: [1, 0], back_height_m: [0, 1] } },
  ];
  if (dimension(`${table}.roof.front_height_m`)) addRoof({ table, value, s, d, high, shapes, marks, grips });
  return { shapes, marks, grips, line: bowl ? null : 0 };
}

function addRoof({ value, s, d, high, shapes, marks, grips }) {
  const over = value("roof.overhang_m");
  const [front, back] = [value("roof.front_height_m"), value("roof.back_height_m")];
  const gap = value("roof.gap_m");
  if (back - gap > high) shapes.push({ kind: "wall", points: [[s + d, high], [s + d, back - gap]] });
  shapes.push({ kind: "roof", points: [[s - over, front], [s + d, back]] });
  marks.push(
    { key: "roof.front_height_m", from: [s - over, 0], to: [s - over, front], side: "left", out: 1 },
    { key: "roof.back_height_m", from: [s + d, 0], to: [s + d, back], side: "right", out: 1 },
    { key: "roof.overhang_m", from: [s - over, front], to: [s, front], side: "top" },
    { key: "roof.gap_m", from: [s + d, back - gap], to: [s + d, back], side: "inner" },
  );
  grips.push(
    { id: "roof-front", at: [s - over, front], label: "front edge of the roof", keys: { "roof.overhang_m": [-1, 0], "roof.front_height_m": [0, 1] } },
    { id: "roof-back", at: [s + d, back], label: "back edge of the roof", keys: { "roof.back_height_m": [0, 1] } },
  );
}

function solidProfile(table) {
  const value = (key, otherwise = 0) => shownNumber(`${table}.${key}`) ?? otherwise;
  const [low, top] = [value("bottom_m"), value("top_m")];
  const half = Math.max(shownNumber(`${table}.radius_m`) ?? 1.5, (top - low) / 24);
  return {
    shapes: [{ kind: "deck", points: [[-half, low], [-half, top], [half, top], [half, low]] }],
    marks: [
      { key: "bottom_m", from: [-half, 0], to: [-half, low], side: "left" },
      { key: "top_m", from: [half, 0], to: [half, top], side: "right" },
    ],
    grips: [
      { id: "top", at: [0, top], label: "top", keys: { top_m: [0, 1] } },
      { id: "bottom", at: [0, low], label: "bottom", keys: { bottom_m: [0, 1] } },
    ],
    line: null,
  };
}

function treeProfile(table) {
  const value = (key, otherwise = 0) => shownNumber(`${table}.${key}`) ?? otherwise;
  const [trunk, crown, radius] = [value("trunk_height_m"), value("crown_height_m"), value("crown_radius_m")];
  const ring = Array.from({ length: 24 }, (_, k) => {
    const turn = (k * Math.PI) / 12;
    return [radius * Math.cos(turn), trunk + (crown / 2) * (1 + Math.sin(turn))];
  });
  return {
    shapes: [{ kind: "wall", points: [[0, 0], [0, trunk]] }, { kind: "deck", points: ring }],
    marks: [
      { key: "trunk_height_m", from: [0, 0], to: [0, trunk], side: "left" },
      { key: "crown_height_m", from: [radius, trunk], to: [radius, trunk + crown], side: "right" },
      { key: "crown_radius_m", from: [0, 0], to: [radius, 0], side: "low" },
    ],
    grips: [
      { id: "trunk", at: [0, trunk], label: "lowest leaves", keys: { trunk_height_m: [0, 1] } },
      { id: "crown", at: [0, trunk + crown], label: "top of the crown", keys: { crown_height_m: [0, 1] } },
      { id: "radius", at: [radius, trunk + crown / 2], label: "edge of the crown", keys: { crown_radius_m: [1, 0] } },
    ],
    line: null,
  };
}

const PROFILES = { stand: standProfile, bowl: standProfile, solid: solidProfile, tree: treeProfile };

function profileOf(table) {
  const profile = state.ground && PROFILES[parts(table)[0]];
  return profile ? profile(table) : null;
}

// ---- letters: the same on the drawing and beside the field ----

const LETTERS = {
  setback_m: "A", depth_m: "B", front_height_m: "C", back_height_m: "D", "roof.front_height_m": "E",
  "roof.back_height_m": "F", "roof.overhang_m": "G", "roof.gap_m": "H",
  bottom_m: "A", top_m: "B", trunk_height_m: "A", crown_height_m: "B", crown_radius_m: "C",
};

export function letterOf(address) {
  const [kind, , ...key] = plain(address).split(".");
  return PROFILES[kind] ? LETTERS[key.join(".")] ?? null : null;
}

// ---- drawing ----

const drawing = { scale: 1, x0: 0, y0: 0, table: null, nodes: new Map(), focus: null };

function fit(profile, width) {
  const points = [...profile.shapes.flatMap((shape) => shape.points), ...profile.marks.flatMap((mark) => [mark.from, mark.to]), [0, 0], [0, PERSON_M]];
  const [xs, ys] = [0, 1].map((axis) => points.map((point) => point[axis]));
  const left = Math.min(...xs) - (profile.line === 0 ? 3 : 0);
  const [right, top, low] = [Math.max(...xs), Math.max(...ys), Math.min(0, ...ys)];
  const wide = (width - MARGIN.left - MARGIN.right) / Math.max(1, right - left);
  const tall = (HEIGHT_PX - MARGIN.top - MARGIN.low) / Math.max(1, top - low);
  drawing.scale = Math.min(wide, tall);
  drawing.x0 = MARGIN.left + ((width - MARGIN.left - MARGIN.right) - (right - left) * drawing.scale) / 2 - left * drawing.scale;
  drawing.y0 = HEIGHT_PX - MARGIN.low + low * drawing.scale;
}

const at = ([x, y]) => [drawing.x0 + x * drawing.scale, drawing.y0 - y * drawing.scale];
const line = (a, b, kind) => makeSvg("line", { x1: a[0], y1: a[1], x2: b[0], y2: b[1], class: kind });

function drawMark(mark, k) {
  const [a, b] = [at(mark.from), at(mark.to)];
  const lift = 28 + (mark.side === "right" ? 24 * (mark.out ?? 0) : 0);
  const shift = { low: [0, 14 + 22 * (k % 2)], left: [-lift, 0], right: [lift, 0], top: [0, -26], inner: [-34, 0] }[mark.side];
  const [p, q] = [a, b].map((point) => [point[0] + shift[0], point[1] + shift[1]]);
  const [mx, my] = [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
  const lit = drawing.focus === mark.key ? " lit" : "";
  return makeSvg("g", { class: `mark${lit}` }, line(a, p, "thin"), line(b, q, "thin"), line(p, q, "measure"),
    makeSvg("circle", { cx: mx, cy: my, r: 10 }), makeSvg("text", { x: mx, y: my + 5, "text-anchor": "middle" }, LETTERS[mark.key]));
}

function draw() {
  const profile = profileOf(state.choice);
  const box = byId("section-box");
  byId("section").hidden = !profile;
  if (!profile) return;
  const width = Math.max(260, box.clientWidth);
  if (!drawing.held) fit(profile, width);
  const ground = at([0, 0])[1];
  const svg = makeSvg("svg", { width, height: HEIGHT_PX, viewBox: `0 0 ${width} ${HEIGHT_PX}`, "aria-hidden": "true" }, line([0, ground], [width, ground], "ground"));
  if (profile.line === 0) svg.append(drawPerson(-1.6), line(at([0, 0]), [at([0, 0])[0], ground + 12], "edge"));
  for (const shape of profile.shapes) {
    const points = shape.points.map((point) => at(point).map((value) => value.toFixed(1)).join(",")).join(" ");
    svg.append(makeSvg(shape.kind === "deck" ? "polygon" : "polyline", { points, class: shape.kind }));
  }
  profile.marks.forEach((mark, k) => svg.append(drawMark(mark, k)));
  byId("section-drawing").replaceChildren(svg);
  const words = profile.marks.map((mark) => `${LETTERS[mark.key]} ${wordsOf(mark.key.split(".").at(-1)).toLowerCase()}${mark.key.startsWith("roof") && !/overhang|gap/.test(mark.key) ? " of the roof" : ""} ${told(shownNumber(`${state.choice}.${mark.key}`) ?? 0, "m", state.units)}`);
  byId("section-words").textContent = `Seen from the side, the field on the left: ${words.join(", ")}.`;
  const places = spreadApart(profile.grips.map((grip) => at(grip.at)), [], GRIP_PX);
  profile.grips.forEach((grip, k) => place(grip, places[k]));
}

// A figure beside the field's edge, 1.8 m tall.
function drawPerson(x) {
  const [px, foot] = at([x, 0]);
  const tall = PERSON_M * drawing.scale;
  return makeSvg("g", { class: "person" }, makeSvg("circle", { cx: px, cy: foot - 0.9 * tall, r: Math.max(1.2, 0.1 * tall) }),
    line([px, foot - 0.82 * tall], [px, foot], ""));
}

function place(grip, [x, y]) {
  const node = drawing.nodes.get(grip.id);
  if (!node) return;
  node.style.left = `${x}px`;
  node.style.top = `${y}px`;
}

// Handles are made for a choice and then only moved, so that one can be held while all is redrawn.
function lay() {
  const profile = profileOf(state.choice);
  const focused = [...drawing.nodes].find(([, node]) => node === document.activeElement)?.[0];
  drawing.nodes = new Map();
  byId("section-title").textContent = profile ? `${nameOf(state.choice)} from the side` : "";
  for (const grip of profile?.grips ?? []) {
    const table = state.choice;
    const set = (d) => sure(Object.entries(grip.keys).map(([key, way]) => moved(`${table}.${key}`, way[0] * d[0] + way[1] * d[1]))
      .map((one, k) => (one && Object.values(grip.keys)[k].some((way, axis) => way && d[axis]) ? one : null)));
    const label = `${nameOf(table)}, ${grip.label}: ${Object.keys(grip.keys).map((key) => wordsOf(key.split(".").at(-1)).toLowerCase()).join(" and ")}`;
    const spec = { label, shape: "edge", set, words: gripWords };
    const node = makeHandle(spec, () => ({ perAlong: drawing.scale, perUp: -drawing.scale }), ([x, y]) => {
      drawing.held = x !== 0 || y !== 0; // the scale rests while a hand is on it
    });
    node.dataset.grip = grip.id;
    drawing.nodes.set(grip.id, node);
  }
  byId("section-handles").replaceChildren(...drawing.nodes.values());
  drawing.held = false;
  draw();
  if (focused) drawing.nodes.get(focused)?.focus({ preventScroll: true });
}

function gripWords(set) {
  return set.map(({ address, value }) => `${wordsOf(parts(address).at(-1)).toLowerCase()} ${told(value, "m", state.units)}`).join(", ");
}

export function startSection() {
  const drawSoon = oncePerFrame(draw);
  const drawAtTimes = atMostEvery(SECTION_MS, drawSoon);
  on("ground choice units", lay);
  const drawNow = () => (drawing.held ? drawSoon() : drawAtTimes()); // the hand is on the plan: that goes first
  on("trial", drawNow);
  new ResizeObserver(drawSoon).observe(byId("section-box"));
  byId("fields").addEventListener("focusin", (event) => {
    const address = event.target.closest("[data-address]")?.dataset.address;
    drawing.focus = address ? plain(address).split(".").slice(2).join(".") : null;
    drawSoon();
  });
  byId("fields").addEventListener("focusout", () => {
    drawing.focus = null;
    drawSoon();
  });
}
