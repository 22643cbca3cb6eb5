// What each camera has at the shown instant, and over the match. In: /api/instant and /api/plan.
// Out: cards with verdicts, the chart of the chosen camera, the cues. Stale parts say so.

import { button, byId, make, oncePerFrame, setText } from "./dom.js";
import { CHART_PX, chartWords, drawChart } from "./chart.js";
import { setTime } from "./exchange.js";
import { expectedFigures } from "./forecast.js";
import { fitCanvas } from "./plan.js";
import { choose, chooseCamera } from "./planview.js";
import { clockText, minuteOf, on, state } from "./state.js";
import { ink } from "./theme.js";
import { LENS, VERDICTS, cameraTitle, irisWords, ndWords } from "./words.js";

// ---- cards ----

function split(value) {
  if (value === null || value === undefined) return "\u2013";
  if (typeof value === "number") return `${value.toFixed(1)} stops`;
  const range = Number.isFinite(value.low) && Number.isFinite(value.high) ? ` (${value.low.toFixed(1)} to ${value.high.toFixed(1)})` : "";
  return `${value.value.toFixed(1)} stops${range}`;
}

// What is played on, in a word.
function surface() {
  return state.plan?.field?.surface ?? "turf";
}

function figures(camera) {
  const share = camera.in_frame_shaded_share;
  const list = [[`Split on ${surface()}`, split(camera.split_stops)]];
  if (camera.subject_split_stops !== undefined) list.push(["Split on subject", split(camera.subject_split_stops)]);
  return [
    ...list,
    ["Set in sun", irisWords(camera.t_sun, camera.t_lens)],
    ["Set in shade", irisWords(camera.t_shade, camera.t_lens)],
    ["Filter", ndWords(camera.nd_stops)],
    ["Shade bluer by", Number.isFinite(camera.colour_mired) ? `${Math.abs(Math.round(camera.colour_mired))} mired` : "\u2013"],
    ["In frame, shaded", Number.isFinite(share) ? `${Math.round(share * 100)} %` : "\u2013"],
    ["Sun to the lens", LENS[camera.sun_in_lens] ?? camera.sun_in_lens ?? "\u2013"],
    ["Edge", String(camera.state ?? "\u2013").replaceAll("_", " ")],
  ];
}

function card(camera, k) {
  const chosen = k === state.camera;
  const name = button(cameraTitle(k, camera.name), () => chooseCamera(k), { class: "card-name", "aria-pressed": String(chosen) });
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
  for (const [term, words] of [...figures(light).slice(0, chosen ? undefined : 3), ...expectedFigures(k)]) {
    list.append(make("div", { class: / to /.test(words) ? "wide" : null }, make("dt", { text: term }), make("dd", { text: words })));
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
  const coarse = state.plan && state.planStep > 1 && state.planDate === state.date;
  setText(byId("plan-stale"), coarse ? `Every ${state.planStep} minutes so far; each minute follows.` : "The match is being worked out anew: old until then.");
}

// ---- the chart of the match ----

function paintChart() {
  const canvas = byId("split-chart");
  const camera = state.plan?.cameras?.[state.camera];
  byId("match-part").hidden = !camera;
  if (!camera || !canvas.clientWidth) return;
  const width = byId("match-part").clientWidth;
  drawChart(fitCanvas(canvas, width, CHART_PX), width, camera, surface(), state.plan.epoch_s, shownEpoch(), ink);
  setText(byId("chart-title"), `${camera.name} over the match`);
  canvas.setAttribute("aria-label", chartWords(camera.name, camera, surface()));
}

// Seconds of the shown minute, counted from the plan's own first clock text.
function shownEpoch() {
  const { plan } = state;
  if (state.planDate !== state.date) return null;
  return plan.epoch_s[0] + (state.minute - minuteOf(plan.clock[0])) * 60;
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
  on("ground instant choice plan", cards);
  on("stale", markStale);
  on("plan choice theme time tab ground", chart);
  on("print", paintChart);
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
