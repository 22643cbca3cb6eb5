// The forecast on the wall: how likely sun is now and in the minutes ahead, what each camera gets
// ready for. In: the outlook of the day as the server words it. Out: lines of the header, of tiles,
// of the list; a newer forecast sent to the server.

import { post } from "./api.js";
import { button, make } from "./dom.js";
import { clockText, day } from "./walldata.js";
import { isClosed, isWideOpen, setT } from "./words.js";

const AHEAD_S = 1800;
const UNDER_CLOUD = ["cloud_over_sun", "overcast"]; // skies without sun: the other light is the sun's

// Index of the minute that a time lies in, as for the plan.
function minuteOf({ epoch_s: all }, seconds) {
  const step = all.length > 1 ? all[1] - all[0] : 60;
  return Math.min(all.length - 1, Math.max(0, Math.ceil((seconds - all[0]) / step)));
}

// "Sun 62 % (40 to 80), changing; 15:50 sun 55 %; nothing told from 16:40: prepare for either".
export function headWords(seconds) {
  const { outlook, state } = day;
  if (state?.forecast?.problem) return "The forecast does not fit the ground any more: see the log";
  if (!outlook?.epoch_s.length) return "";
  const parts = [outlook.minutes[minuteOf(outlook, seconds)]];
  const next = outlook.stretches.find((one) => one.from_s > seconds);
  const later = outlook.sun[minuteOf(outlook, seconds + AHEAD_S)];
  if (next) parts.push(`from ${clockText(next.from_s * 1000, false)} ${next.odds}`);
  else if (later !== null && seconds + AHEAD_S < outlook.epoch_s.at(-1)) parts.push(`${clockText((seconds + AHEAD_S) * 1000, false)} sun ${Math.round(100 * later)} %`);
  const silent = outlook.silent_from_s;
  if (silent !== null && silent <= seconds) parts.push("prepare for either");
  else if (silent !== null) parts.push(`nothing told from ${clockText(silent * 1000, false)}: prepare for either`);
  return parts.join("; ");
}

// What to set in the light that is not there now, with the filter of the plan.
function otherLight(said, i, nd) {
  const [sun, shade, cloud] = [said.sun_t[i], said.shade_t[i], said.cloud_t[i]];
  const lens = said.t_lens[i];
  const t = (value) => (isWideOpen(value, lens) ? "wide open" : `T${setT(value, lens).toFixed(1)}`);
  if (UNDER_CLOUD.includes(day.state.sky)) {
    if (sun && isClosed(sun, lens)) return "sun: more ND";
    const both = [...new Set([sun, shade].filter(Boolean).map(t))];
    return both.length ? `${sun ? "sun" : "clear"} ${both.join(" \u2013 ").replace("\u2013 T", "\u2013 ")}` : "";
  }
  if (!cloud) return "";
  return isWideOpen(cloud, lens) && nd > 0 ? "cloud: less ND" : `cloud ${t(cloud)}`;
}

function splitWords(split) {
  if (!split) return "no forecast";
  const number = (stops) => (stops < 0.05 ? "0" : stops.toFixed(1));
  const [mean, low, high] = split.map(number);
  if (high === "0") return "no edge";
  return low === high ? `split ${mean}` : `split ${mean} (${low}\u2013${high})`;
}

// Two lines of a camera; none without a forecast, or for a camera that nobody works.
export function expectedLines({ k, said, nd }, seconds) {
  const either = day.outlook?.cameras[k];
  if (!either || said.out) return [];
  const i = minuteOf(day.outlook, seconds);
  const other = otherLight(either, i, said.nd_stops ?? nd);
  return other ? [other, splitWords(either.split[i])] : [];
}

async function send(box, file, text) {
  const problem = box.querySelector(".problem");
  try {
    const taken = await post("/api/day/forecast", { file, text });
    problem.textContent = taken?.left_out ? `${file} is in; ${taken.left_out}` : `${taken ? `${file} is in` : "No forecast"}.`;
  } catch (refusal) {
    problem.textContent = refusal.message;
  }
}

// For the list: the whole day in words, and another forecast where the lead has one.
export function forecastParts() {
  const { outlook, state } = day;
  const held = state.forecast;
  const lead = state.you.role === "lead";
  if (!held && !lead) return [];
  const box = make("div", { id: "forecast-part" }, make("h3", { text: "Forecast" }));
  const from = held?.file ? `From ${held.file}, ${held.members === 1 ? "one member" : `${held.members} members side by side`}.` : held?.problem ?? "No forecast was given.";
  box.append(make("p", { text: from }));
  if (outlook) box.append(make("ul", {}, ...outlook.stretches.map((one) => make("li", { text: one.words }))), make("p", { text: outlook.note }));
  if (!lead) return [box];
  const chosen = make("input", { type: "file", accept: ".csv,text/csv", "aria-label": "Newer forecast (CSV)" });
  chosen.addEventListener("change", async () => {
    const [file] = chosen.files;
    if (file) await send(box, file.name, await file.text());
    chosen.value = "";
  });
  box.append(make("div", { class: "row" }, chosen, held ? button("Go on without a forecast", () => send(box, "", undefined)) : null), make("p", { class: "problem", role: "status" }));
  return [box];
}
