// What each camera has at the shown instant, and over the match. In: /api/instant and /api/plan.
// Out: cards with verdicts, the chart of the chosen camera, the cues. Stale parts say so.

import { button, byId, make, oncePerFrame, setText } from "./dom.js";
import { setTime } from "./exchange.js";
import { fitCanvas } from "./plan.js";
import { choose, chooseCamera } from "./planview.js";
import { clockText, minuteOf, on, state } from "./state.js";
import { ink } from "./theme.js";

const CHART_PX = 148;
const EDGE = { left: 34, right: 8, top: 12, low: 40 };

const VERDICTS = {
  hold: "One iris for both",
  ride: "Ride the iris",
  choose: "Expose for sun or for shade",
  none: "Nothing to do: no edge in the picture",
};
const LENS = {
  clear: "behind, off the lens",
  shaded: "ahead, but the lens is in shade",
  on_element: "flare: on the front element",
  in_frame: "in frame",
};

// ---- cards ----

function split(value) {
  if (value === null || value === undefined) return "\u2013";
  if (typeof value === "number") return `${value.toFixed(1)} stops`;
  const range = Number.isFinite(value.low) && Number.isFinite(value.high) ? ` (${value.low.toFixed(1)} to ${value.high.toFixed(1)})` : "";
  return `${value.value.toFixed(1)} stops${range}`;
}

// Whole stops as the wheel is marked.
function ndWords(stops) {
  if (stops === null || stops === undefined) return "\u2013";
  if (stops === 0) return "no ND";
  return Number.isInteger(stops) ? `ND 1/${2 ** stops}` : `ND ${stops} stops`;
}

function figures(camera) {
  const t = (value) => (value === null || value === undefined ? "\u2013" : `T${value.toFixed(1)}`);
  const share = camera.in_frame_shaded_share;
  const list = [["Split on turf", split(camera.split_stops)]];
  if (camera.subject_split_stops !== undefined) list.push(["Split on subject", split(camera.subject_split_stops)]);
  return [
    ...list,
    ["Set in sun", t(camera.t_sun)],
    ["Set in shade", t(camera.t_shade)],
    ["Filter", ndWords(camera.nd_stops)],
    ["Shade bluer by", Number.isFinite(camera.colour_mired) ? `${Math.abs(Math.round(camera.colour_mired))} mired` : "\u2013"],
    ["In frame, shaded", Number.isFinite(share) ? `${Math.round(share * 100)} %` : "\u2013"],
    ["Sun to the lens", LENS[camera.sun_in_lens] ?? camera.sun_in_lens ?? "\u2013"],
    ["Edge", String(camera.state ?? "\u2013").replaceAll("_", " ")],
  ];
}

function card(camera, k) {
  const chosen = k === state.camera;
  const name = button(`${k + 1} ${camera.name.replace(/^\d+\s+/, "")}`, () => chooseCamera(k), { class: "card-name", "aria-pressed": String(chosen) });
  const light = state.instant?.cameras?.find((one) => one.name === camera.name) ?? state.instant?.cameras?.[k];
  const node = make("li", { class: "card" }, make("div", { class: "row between" }, name,
    button("Numbers", () => {
      choose(camera.table);
      byId("tab-ground").click();
      byId("things").focus();
    }, { class: "quiet", "aria-label": `Numbers of ${camera.name}` })));
  if (!light) {
    node.append(make("p", { class: "note", text: "Being worked out." }));
    return node;
  }
  node.append(make("p", { class: "verdict", "data-verdict": light.verdict, text: VERDICTS[light.verdict] ?? light.verdict ?? "\u2013" }));
  const list = make("dl", { class: "figures" });
  for (const [term, words] of figures(light).slice(0, chosen ? undefined : 3)) {
    list.append(make("div", {}, make("dt", { text: term }), make("dd", { text: words })));
  }
  node.append(list);
  return node;
}

function showCards() {
  if (!state.ground) return;
  const box = byId("camera-cards");
  const focused = [...box.querySelectorAll("button")].indexOf(document.activeElement);
  const { cameras } = state.ground;
  box.replaceChildren(...cameras.map(card));
  if (focused >= 0) box.querySelectorAll("button")[focused]?.focus({ preventScroll: true });
  byId("no-cameras").hidden = cameras.length > 0;
  setText(byId("cameras-at"), `At ${clockText(state.minute)}, clear sky`);
  markStale();
}

function markStale() {
  const stale = (id, old) => {
    byId(id).classList.toggle("stale", old);
    byId(id).setAttribute("aria-busy", String(old));
  };
  stale("camera-cards", state.stale.instant);
  stale("match-part", state.stale.plan);
  byId("instant-stale").hidden = !state.stale.instant || !state.ground?.cameras.length;
  byId("plan-stale").hidden = !state.stale.plan || !state.plan;
}

// ---- the chart of the match ----

function paintChart() {
  const canvas = byId("split-chart");
  const camera = state.plan?.cameras?.[state.camera];
  byId("match-part").hidden = !camera;
  if (!camera || !canvas.clientWidth) return;
  const width = byId("match-part").clientWidth;
  const pen = fitCanvas(canvas, width, CHART_PX);
  const scale = chartScale(camera, width);
  pen.fillStyle = ink.paper;
  pen.fillRect(0, 0, width, CHART_PX);
  drawGrid(pen, scale, width);
  drawLine(pen, scale, camera.split_turf, ink.accent, 2.5, []);
  drawLine(pen, scale, camera.split_subject, ink.cover, 2, [5, 4]);
  drawInShot(pen, scale, camera.in_shot);
  drawNow(pen, scale);
  drawKey(pen);
  setText(byId("chart-title"), `${camera.name} over the match`);
  canvas.setAttribute("aria-label", chartWords(camera));
}

function chartScale(camera, width) {
  const known = [...camera.split_turf, ...camera.split_subject].filter((value) => value !== null);
  const top = Math.max(2, Math.ceil(Math.max(0, ...known)));
  const times = state.plan.epoch_s;
  const [first, last] = [times[0], times.at(-1)];
  return {
    top,
    x: (epoch) => EDGE.left + ((epoch - first) / (last - first)) * (width - EDGE.left - EDGE.right),
    y: (stops) => EDGE.top + (1 - stops / top) * (CHART_PX - EDGE.top - EDGE.low),
  };
}

function drawGrid(pen, scale, width) {
  pen.font = "14px system-ui, sans-serif";
  pen.textAlign = "right";
  pen.textBaseline = "middle";
  pen.fillStyle = ink.soft;
  pen.strokeStyle = ink.line;
  pen.lineWidth = 0.5;
  for (let stops = 0; stops <= scale.top; stops += scale.top > 4 ? 2 : 1) {
    pen.stroke(new Path2D(`M${EDGE.left} ${scale.y(stops)}H${width - EDGE.right}`));
    pen.fillText(String(stops), EDGE.left - 6, scale.y(stops));
  }
}

// A line that breaks where there is no value.
function drawLine(pen, scale, values, colour, width, dash) {
  const path = new Path2D();
  let open = false;
  values.forEach((value, k) => {
    if (value !== null) path[open ? "lineTo" : "moveTo"](scale.x(state.plan.epoch_s[k]), scale.y(value));
    open = value !== null;
  });
  pen.strokeStyle = colour;
  pen.lineWidth = width;
  pen.setLineDash(dash);
  pen.stroke(path);
  pen.setLineDash([]);
}

function drawInShot(pen, scale, inShot) {
  const times = state.plan.epoch_s;
  pen.fillStyle = ink["shade-line"];
  for (let k = 0; k + 1 < times.length; k += 1) {
    if (inShot[k]) pen.fillRect(scale.x(times[k]), CHART_PX - EDGE.low + 5, scale.x(times[k + 1]) - scale.x(times[k]) + 0.5, 6);
  }
}

// Seconds of the shown minute, counted from the plan's own first clock text.
function shownEpoch() {
  const { plan } = state;
  if (state.planDate !== state.date) return null;
  return plan.epoch_s[0] + (state.minute - minuteOf(plan.clock[0])) * 60;
}

function drawNow(pen, scale) {
  const now = shownEpoch();
  const times = state.plan.epoch_s;
  if (now === null || now < times[0] || now > times.at(-1)) return;
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 2;
  pen.stroke(new Path2D(`M${scale.x(now)} ${EDGE.top - 6}V${CHART_PX - EDGE.low + 14}`));
}

function drawKey(pen) {
  const y = CHART_PX - 10;
  let x = EDGE.left;
  pen.font = "14px system-ui, sans-serif";
  pen.textAlign = "left";
  pen.textBaseline = "middle";
  pen.lineWidth = 2.5;
  for (const [text, colour, dash] of [["turf", ink.accent, []], ["subject", ink.cover, [5, 4]], ["bar: edge in shot", null, []]]) {
    if (colour) {
      pen.strokeStyle = colour;
      pen.setLineDash(dash);
      pen.stroke(new Path2D(`M${x} ${y}h18`));
      x += 22;
    }
    pen.fillStyle = ink.ink;
    pen.fillText(text, x, y);
    x += pen.measureText(text).width + 12;
  }
  pen.setLineDash([]);
}

function chartWords(camera) {
  const known = camera.split_turf.filter((value) => value !== null);
  if (!known.length) return `${camera.name}: no edge in shot during the match.`;
  const [low, high] = [Math.min(...known), Math.max(...known)];
  return `Split of ${camera.name} over the match: ${low.toFixed(1)} to ${high.toFixed(1)} stops on turf. The cards give the shown time.`;
}

// ---- cues ----

function showCues() {
  const list = byId("cue-list");
  if (!state.plan) return list.replaceChildren();
  const all = byId("cue-choice").value === "all";
  const cues = (state.plan.cues ?? []).filter((cue) => all || cue.key_action);
  list.replaceChildren(...cues.map((cue) => {
    const node = button("", () => setTime(state.planDate, minuteOf(cue.clock)), { class: "cue" });
    node.append(make("span", { class: "cue-time", text: cue.clock }), make("span", { class: "cue-what", text: cue.what }));
    if (cue.detail) node.append(make("span", { class: "cue-more", text: cue.detail }));
    return make("li", {}, node);
  }));
  if (!cues.length) list.append(make("li", { class: "note", text: all ? "No cues." : "No key actions." }));
}

export function startCameras() {
  const cards = oncePerFrame(showCards);
  const chart = oncePerFrame(paintChart);
  on("ground instant choice", cards);
  on("stale", markStale);
  on("plan choice theme time tab ground", chart);
  on("plan", showCues);
  on("plan", markStale);
  byId("cue-choice").addEventListener("change", showCues);
  byId("add-camera").addEventListener("click", () => {
    byId("tab-ground").click();
    byId("add-kind").value = "camera";
    byId("add-kind").dispatchEvent(new Event("change"));
    byId("add-kind").focus();
  });
  new ResizeObserver(chart).observe(byId("match-part"));
}
