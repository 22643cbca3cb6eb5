// What is seen on a recce, noted by a tap when the shadow's edge passes a mark, and the fit of
// numbers to it. In: taps, this device's clock and its error. Out: a job, its text of observations.

import { post } from "./api.js";
import { button, byId, labelled, make, option, recall, remember, setText } from "./dom.js";
import { refresh } from "./jobs.js";
import { on, parts, state, valueAt } from "./state.js";
import { parse } from "./units.js";

const KEY = "seen"; // kept on this device, one list a file
const DEFAULT_SURE_S = 15;
// Numbers that a shadow's edge can tell, by the end of their address.
const FINDABLE = /(\.bearing_deg|height_m|overhang_m|setback_m|top_m|depth_m)$/;

let seen = { taps: [], unknown: [], ahead: "0", sure: String(DEFAULT_SURE_S) };

function load() {
  try {
    const all = JSON.parse(recall(KEY) ?? "{}");
    const kept = all[state.ground.file];
    seen = kept && Array.isArray(kept.taps) ? kept : { taps: [], unknown: [], ahead: "0", sure: String(DEFAULT_SURE_S) };
  } catch {
    seen = { taps: [], unknown: [], ahead: "0", sure: String(DEFAULT_SURE_S) };
  }
}

function save() {
  let all = {};
  try {
    all = JSON.parse(recall(KEY) ?? "{}");
  } catch {
    // Spoilt text: begin afresh.
  }
  remember(KEY, JSON.stringify({ ...all, [state.ground.file]: seen }));
}

// Date and time of this moment by the clock of the venue, as this device shows it.
function deviceClock() {
  const options = { timeZone: state.ground.zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit" };
  const pieces = Object.fromEntries(new Intl.DateTimeFormat("en-GB", options).formatToParts(new Date()).map(({ type, value }) => [type, value]));
  return { on: `${pieces.year}-${pieces.month}-${pieces.day}`, time: `${pieces.hour}:${pieces.minute}:${pieces.second}` };
}

function tap() {
  const { on: day, time } = deviceClock();
  seen.taps.push({ on: day, time, place: byId("seen-place").value, becomes: byId("seen-becomes").value, by: byId("seen-by").value });
  save();
  show();
}

// ---- the text of observations ----

const quoted = (text) => JSON.stringify(text);

// "stand[0].roof.gap_m" as the fit names it: stand."Mill Stand".roof.gap_m
function named(address) {
  const [table, index, ...rest] = parts(address);
  const list = Array.isArray(state.ground.values?.[table]);
  if (!list) return [table, index, ...rest].filter((part) => part !== undefined).join(".");
  return [table, quoted(valueAt(`${table}[${index}].name`)), ...rest].join(".");
}

function textOfSeen() {
  const lines = [`on = ${quoted(seen.taps[0]?.on ?? state.date)}`, ""];
  for (const address of seen.unknown) lines.push("[[unknown]]", `what = ${quoted(named(address))}`, "");
  const ahead = parse(seen.ahead, "s", "m");
  const sure = parse(seen.sure, "s", "m");
  if (sure > 0) lines.push("[[unknown]]", 'what = "watch.ahead_s"', `plus_minus = ${sure.toFixed(1)}`, "");
  for (const one of seen.taps) {
    const [hours, minutes, seconds] = one.time.split(":").map(Number);
    const true_s = Math.max(0, Math.min(86399, hours * 3600 + minutes * 60 + seconds - Math.round(ahead || 0)));
    const time = new Date(true_s * 1000).toISOString().slice(11, 19);
    lines.push("[[passage]]", `on = ${quoted(one.on)}`, `time = ${quoted(time)}`, `place = ${quoted(one.place)}`, `becomes = ${quoted(one.becomes)}`);
    if (one.by) lines.push(`thrown_by = ${quoted(one.by)}`);
    lines.push("");
  }
  return lines.join("\n");
}

async function fit() {
  if (!seen.taps.length || !seen.unknown.length) {
    return setText(byId("seen-problem"), "At least one observation and one number to find are needed.");
  }
  const options = { "--seen": "seen.toml", "--into": "fitted.toml", "--json": "fit.json" };
  try {
    await post("/api/jobs", { command: "fit", options, files: { "seen.toml": textOfSeen() } });
    setText(byId("seen-problem"), "");
    byId("job-list").scrollIntoView({ block: "nearest" });
  } catch (refusal) {
    setText(byId("seen-problem"), refusal.message);
  }
  refresh();
}

// ---- what is shown ----

function listOf(id, items) {
  byId(id).replaceChildren(...items);
}

function show() {
  listOf("seen-list", seen.taps.map((one, k) => make("li", { class: "row between" },
    make("span", { text: `${one.on} ${one.time}: ${one.place} came into ${one.becomes}${one.by ? `, thrown by ${one.by}` : ""}` }),
    button("Remove", () => {
      seen.taps.splice(k, 1);
      save();
      show();
    }, { class: "quiet", "aria-label": `Remove the observation of ${one.time}` }))));
  listOf("unknown-list", seen.unknown.map((address, k) => make("li", { class: "row between" }, make("span", { text: nameOfNumber(address) }),
    button("Remove", () => {
      seen.unknown.splice(k, 1);
      save();
      show();
    }, { class: "quiet", "aria-label": `Do not find ${nameOfNumber(address)}` }))));
  byId("seen-ahead").value = seen.ahead;
  byId("seen-sure").value = seen.sure;
}

function nameOfNumber(address) {
  const one = state.ground.dimensions.find((dimension) => dimension.address === address);
  return one?.name ?? address;
}

function fill() {
  load();
  const { ground } = state;
  const keep = byId("seen-place").value;
  byId("seen-place").replaceChildren(...(ground.marks ?? []).map((mark) => option(mark.name, mark.name, mark.name === keep)));
  byId("seen-by").replaceChildren(option("not known", ""), ...ground.stands.map((one) => option(one.name, one.name)));
  const numbers = ground.dimensions.filter((one) => one.stated && FINDABLE.test(one.address) && !one.address.startsWith("place"));
  byId("seen-number").replaceChildren(option("add \u2026", ""), ...numbers.map((one) => option(one.name ?? one.address, one.address)));
  show();
}

export function startObserve() {
  const select = (id) => make("select", { id });
  const text = (id) => make("input", { type: "text", id, inputmode: "decimal", autocomplete: "off" });
  byId("observe-box").append(
    make("p", { class: "note", text: "Lay a card on a mark and watch the shadow pass over it, never the sun. Tap at the moment." }),
    labelled("Mark", select("seen-place")),
    labelled("It came into", make("select", { id: "seen-becomes" }, option("shade", "shade"), option("sun", "sun"))),
    labelled("Cast by", select("seen-by")),
    make("div", { class: "row" }, button("Now", tap, { class: "now" })),
    make("ul", { id: "seen-list", class: "plain-list" }),
    labelled("This device's clock is ahead by (s; behind: minus)", text("seen-ahead"), "Compare it with a radio clock or with time from the network."),
    labelled("That is sure to within (s)", text("seen-sure")),
    labelled("Numbers to find", select("seen-number")),
    make("ul", { id: "unknown-list", class: "plain-list" }),
    make("p", { class: "problem", id: "seen-problem", role: "alert" }),
    make("div", { class: "row" }, button("Fit these numbers", fit)),
  );
  for (const [id, key] of [["seen-ahead", "ahead"], ["seen-sure", "sure"]]) {
    byId(id).addEventListener("change", (event) => {
      seen[key] = event.target.value;
      save();
    });
  }
  byId("seen-number").addEventListener("change", (event) => {
    if (event.target.value && !seen.unknown.includes(event.target.value)) seen.unknown.push(event.target.value);
    event.target.value = "";
    save();
    show();
  });
  on("ground", () => {
    if (!byId("observe-box").contains(document.activeElement)) fill();
  });
}
