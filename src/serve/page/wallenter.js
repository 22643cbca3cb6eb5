// What happened: one tap or key each, undone as easily. In: the state. Out: entries.

import { base, post } from "./api.js";
import { button, byId, make, option, setText } from "./dom.js";
import { clockText, day } from "./walldata.js";
import { forecastParts } from "./wallsky.js";
import { ndWords } from "./walltiles.js";

const SKIES = [["clear", "Clear", "1"], ["thin", "Thin", "2"], ["cloud_over_sun", "Cloud on sun", "3"], ["broken", "Broken", "4"], ["overcast", "Overcast", "5"]];
const TOLD_MS = 6000;

let quiet = 0;

export function say(text) {
  setText(byId("told"), text);
  clearTimeout(quiet);
  quiet = setTimeout(() => setText(byId("told"), ""), TOLD_MS);
}

// Sends an event; says what became of it. `at`: "15:04", or now.
export async function enter(what, words, at = null) {
  try {
    const { entry } = await post("/api/day/enter", { what, at });
    say(`${words}: in. U takes it back.`);
    return entry;
  } catch (refusal) {
    say(refusal.status === 0 ? `${words}: NOT in, no answer from the truck.` : `${words}: not in. ${refusal.message}`);
    return null;
  }
}

export function undoLast() {
  const last = day.state?.entries.find((entry) => !entry.taken_back && entry.event !== "undo" && mine(entry));
  if (!last) return say("Nothing to take back.");
  return enter({ event: "undo", takes_back: last.entry }, `Taken back: ${entryWords(last)}`);
}

function mine(entry) {
  const { you } = day.state;
  // what moves between grounds is taken back by who leads them all
  if (entry.event === "move_expected" || (entry.moved && !base)) return false;
  return you.role === "lead" || (entry.by.role === you.role && (entry.by.name ?? "") === you.name);
}

export function entryWords(entry) {
  const camera = entry.camera ? `${entry.camera}: ` : "";
  const words = {
    moment: () => `${entry.name}${entry.expected ? " expected" : ""}`,
    play_stopped: () => "play stopped",
    play_goes_on: () => "play goes on",
    sky: () => `sky ${SKIES.find(([key]) => key === entry.sky)?.[1] ?? entry.sky}`,
    floodlights: () => `floodlights ${entry.lit ? "on" : "off"}`,
    nd: () => `${camera}${ndWords(entry.nd_stops)} in`,
    iris: () => `${camera}T${entry.t_number}`,
    camera_out: () => `${camera}out`,
    camera_back: () => `${camera}back`,
    camera_swapped: () => `${camera}${entry.stand_in} in its place${entry.from_moment === undefined ? "" : ` from ${day.state.moments[entry.from_moment]?.name}`}`,
    camera_goes_over: () => `${camera}goes over to ${entry.to_place} of ${entry.to_ground}`,
    camera_comes_over: () => `${camera}${entry.from_camera} of ${entry.from_ground} in its place`,
    camera_goes_home: () => `${camera}home from ${entry.from_ground}`,
    camera_leaves: () => `${camera}the camera of ${entry.to_ground} leaves`,
    move_expected: () => `move between grounds expected ${entry.expected.slice(11, 16)}`,
    lens_changed: () => `${camera}lens ${entry.horizontal_fov_deg}\u00b0`,
    edge_passes: () => `edge at ${entry.mark}`,
    light: () => `light ${[entry.sun_lx && `${entry.sun_lx} lx sun`, entry.shade_lx && `${entry.shade_lx} lx shade`].filter(Boolean).join(", ")}`,
    light_corrected: () => `light corrected: sun ${signed(entry.sun_stops)}, shade ${signed(entry.shade_stops)} stops`,
    undo: () => `entry ${entry.takes_back} taken back`,
  };
  return words[entry.event]?.() ?? entry.event;
}

function signed(stops) {
  return `${stops < 0 ? "\u2212" : "+"}${Math.abs(stops).toFixed(2)}`;
}

// What the cameras have in common, and where that fails.
function deskParts() {
  const { desk } = day.state;
  if (!desk) return [];
  const part = (name, lines) => (lines.length ? [make("h3", { text: name }), make("ul", {}, ...lines.map((line) => make("li", { text: line })))] : []);
  return [...part("Filters", desk.filters), ...part("Light on faces across cuts", desk.by_hand), ...part("One operator, two cameras", desk.at_once)];
}

// What the entries have taught; the lead accepts it or leaves it.
function learnedParts(box) {
  const { learned, you } = day.state;
  if (!learned) return [];
  const lines = [...learned.light, ...learned.edges, ...learned.numbers];
  if (!lines.length) return [];
  const parts = [make("h3", { text: "Learned" }), make("ul", {}, ...lines.map((line) => make("li", { text: line })))];
  if (you.role !== "lead") return parts;
  const { accepted, proposed } = learned;
  if (accepted.sun_stops || accepted.shade_stops) parts.push(make("p", { text: `In force: sun ${signed(accepted.sun_stops)}, shade ${signed(accepted.shade_stops)} stops. Take the entry back to end it.` }));
  const accept = async () => {
    if ((await enter({ event: "light_corrected", sky: learned.sky, ...proposed }, "Light corrected")) !== null) box.close();
  };
  const survey = async () => {
    try {
      await post("/api/day/survey", {});
      box.close();
      say("The venue file has the numbers; undo on the page of the ground.");
    } catch (refusal) {
      say(refusal.message);
    }
  };
  parts.push(make("div", { class: "row" },
    proposed ? button(`Plan with sun ${signed(proposed.sun_stops)}, shade ${signed(proposed.shade_stops)} stops`, accept, { id: "accept-light" }) : null,
    learned.can_survey ? button("Write these numbers into the venue file", survey, { id: "accept-numbers" }) : null));
  return parts;
}

export function nextMoment() {
  return day.state?.moments.find((one) => !one.known) ?? null;
}

function momentNow() {
  const next = nextMoment();
  if (next) enter({ event: "moment", moment: next.moment, name: next.name }, next.name);
}

function stopOrGoOn() {
  const stopped = day.state.play === "stopped";
  enter({ event: stopped ? "play_goes_on" : "play_stopped" }, stopped ? "Play goes on" : "Play stopped");
}

function lights() {
  const lit = !day.state.floodlights;
  enter({ event: "floodlights", lit }, `Floodlights ${lit ? "on" : "off"}`);
}

function skyNow(sky, words) {
  enter({ event: "sky", sky }, `Sky: ${words}`);
}

const keys = {
  k: momentNow,
  s: stopOrGoOn,
  l: () => day.state.has_floodlights && lights(),
  u: undoLast,
  e: () => openList(),
};

let bar = "";

// Drawn only where something on it has changed, so that a tap never meets another button.
export function drawBar() {
  const { state } = day;
  if (!state) return;
  const next = nextMoment();
  const key = JSON.stringify([state.you, state.play, next?.name, state.sky, state.floodlights, state.learned?.proposed, state.learned?.can_survey]);
  if (key === bar) return;
  bar = key;
  const label = (text, sign) => [text, " ", make("kbd", { text: sign })];
  const act = (text, sign, work, props = {}) => {
    const node = button("", work, props);
    node.replaceChildren(...label(text, sign));
    return node;
  };
  const list = act(state.learned?.proposed || state.learned?.can_survey ? "Learned" : "Log", "E", openList);
  if (state.you.role !== "lead") {
    byId("enter").replaceChildren(list, ...(state.you.role === "operate" ? [act("Undo", "U", undoLast)] : []));
    return;
  }
  const skies = SKIES.map(([sky, words, sign]) => act(words, sign, () => skyNow(sky, words), { "aria-pressed": String(state.sky === sky) }));
  const stopped = state.play === "stopped";
  byId("enter").replaceChildren(
    ...(next ? [act(`${next.name} now`, "K", momentNow, { class: "first" })] : []),
    ...(["runs", "stopped"].includes(state.play) ? [act(stopped ? "Play goes on" : "Play stopped", "S", stopOrGoOn)] : []),
    make("fieldset", { "aria-label": "Sky now" }, ...skies),
    ...(state.has_floodlights ? [act(state.floodlights ? "Floodlights off" : "Floodlights on", "L", lights)] : []),
    act("Undo", "U", undoLast),
    list,
  );
}

function openList() {
  const box = byId("list");
  const row = (entry) => make("li", { class: entry.taken_back ? "gone" : null, text: `${clockText(entry.epoch_s * 1000)} ${entryWords(entry)} (${entry.by.name || entry.by.role})` });
  const marks = make("select", { "aria-label": "Mark" }, ...day.state.marks.map((name) => option(name, name)));
  const [sun, shade] = ["in sun", "in shade"].map((words) => make("input", { type: "number", min: "0", "aria-label": `lx ${words}`, placeholder: `lx ${words}` }));
  const number = (field) => (field.value ? Number(field.value) : undefined);
  const when = make("input", { type: "time", step: "1", "aria-label": "At" });
  const moments = day.state.moments.map((one) => button(one.name, () => enter({ event: "moment", moment: one.moment, name: one.name }, one.name, when.value || null)));
  box.replaceChildren(
    make("div", { class: "row" }, make("h2", { text: "What happened" }), button("Close", () => box.close(), { class: "close" })),
    ...(day.state.you.role === "lead" ? [
      make("h3", { text: "At another time" }), make("div", { class: "row" }, when, ...moments),
      make("h3", { text: "Edge passes a mark now" }), make("div", { class: "row" }, marks, button("Now", () => enter({ event: "edge_passes", mark: marks.value }, `Edge at ${marks.value}`))),
      make("h3", { text: "Light on the ground, level" }), make("div", { class: "row" }, sun, shade, button("Enter", () => enter({ event: "light", sun_lx: number(sun), shade_lx: number(shade) }, "Light reading"))),
    ] : []),
    ...forecastParts(),
    ...learnedParts(box),
    ...deskParts(),
    make("h3", { text: "Entries" }), make("ul", {}, ...day.state.entries.map(row)),
    make("h3", { text: "Cues that have come" }), make("ul", {}, ...day.state.past.map((cue) => make("li", { text: `${cue.at.slice(11, 19)} ${cue.what}` }))),
    make("p", { text: `All of it is in ${day.state.log}.${day.state.unread ? ` ${day.state.unread} lines of it could not be read.` : ""}` }),
    make("p", {}, make("a", { href: `${base}/api/day/page`, download: "planned-and-happened.html", text: "Planned against happened, a page to keep" })),
  );
  box.showModal();
}

export function startKeys() {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]")) return;
    if (event.target.matches("input, select, textarea") || !day.state) return;
    const key = event.key.toLowerCase();
    const sky = SKIES.find(([, , sign]) => sign === key);
    const leads = day.state.you.role === "lead";
    if (key === "e") openList();
    else if (key === "u" && day.state.you.role !== "see") undoLast();
    else if (leads && sky) skyNow(sky[0], sky[1]);
    else if (leads && keys[key]) keys[key]();
    else return;
    event.preventDefault();
  });
}
