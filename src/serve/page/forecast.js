// The forecast of the day beside the plan. In: what /api/plan says of it, the shown minute, a table
// of hours that somebody chose or dropped. Out: likelihoods, what each camera sets in either light.

import { get, post } from "./api.js";
import { announce, byId, make, setText } from "./dom.js";
import { askAll } from "./exchange.js";
import { minuteOf, on, state } from "./state.js";
import { irisWords, isClosed, isWideOpen } from "./words.js";

const HEAD_BYTES = 4096;
let held = null; // the forecast that plans are made with

// A table of hours: its header has a column of times and one of the sky.
export async function isForecast(file) {
  if (!/\.csv$/i.test(file.name)) return false;
  const [head] = (await file.slice(0, HEAD_BYTES).text()).split("\n");
  return /(^|,)\s*time(_utc|_local)?\s*(,|$)/i.test(head) && /cover|direct|cloud/i.test(head);
}

async function send(file, text) {
  setText(byId("forecast-problem"), "");
  try {
    const taken = await post("/api/day/forecast", { file, text });
    if (taken?.left_out) setText(byId("forecast-problem"), taken.left_out);
    announce(taken ? `Forecast ${file}: in.` : "No forecast any more.");
  } catch (refusal) {
    setText(byId("forecast-problem"), refusal.message);
    announce(`${file} was not taken.`);
  }
}

export async function takeForecast(file) {
  byId("tab-cameras").click();
  await send(file.name, await file.text());
}

// Index of the shown minute in the plan; none on another day.
function shownIndex() {
  const { plan } = state;
  if (!plan?.forecast || state.planDate !== state.date) return null;
  const minutes = state.minute - minuteOf(plan.clock[0]);
  return Math.max(0, Math.min(plan.clock.length - 1, Math.round(minutes / state.planStep)));
}

// [term, words] of a camera at the shown minute.
export function expectedFigures(k) {
  const i = shownIndex();
  const either = i === null ? null : state.plan.forecast.cameras[k];
  if (!either) return [];
  const split = either.split[i];
  const cloud = either.cloud_t[i];
  const dark = cloud !== null && isWideOpen(cloud, either.t_lens[i]);
  const less = dark && state.plan.cameras[k].nd[i] > 0 ? ", too dark for the lens: less ND" : "";
  const more = either.sun_t[i] !== null && isClosed(either.sun_t[i], either.t_lens[i]) ? "In the sun too bright for the lens: more ND" : null;
  return [
    ["Split to be expected", split ? `${split[0].toFixed(1)} stops (${split[1].toFixed(1)} to ${split[2].toFixed(1)})` : "no forecast"],
    ["Set under cloud", irisWords(cloud, either.t_lens[i]) + less],
    ...(more ? [["Filter", more]] : []),
  ];
}

function show() {
  const forecast = held ? state.plan?.forecast : null;
  const i = shownIndex();
  setText(byId("forecast-from"), held?.file ? `From ${held.file}` : held?.problem ?? "None. A table of hours (CSV) adds how likely sun is, minute by minute.");
  byId("forecast-remove").hidden = !held;
  setText(byId("forecast-now"), forecast && i !== null ? forecast.minutes[i] : "");
  byId("forecast-stretches").replaceChildren(...(forecast?.stretches ?? []).map((one) => make("li", { text: one.words })));
  setText(byId("forecast-note"), forecast?.note ?? "");
}

async function load() {
  held = await get("/api/forecast").catch(() => null);
  show();
}

export function startForecast() {
  const chosen = byId("forecast-input");
  byId("forecast-choose").addEventListener("click", () => chosen.click());
  byId("forecast-remove").addEventListener("click", () => send("", undefined));
  chosen.addEventListener("change", async () => {
    const [file] = chosen.files;
    if (file) await takeForecast(file);
    chosen.value = "";
  });
  on("plan time", show);
  on("ground", load);
  on("forecast", () => {
    load();
    askAll();
  });
}
