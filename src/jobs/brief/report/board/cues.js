// Part 8 of 9: key actions or all cues in order of time, the next one with its countdown, and the
// crew's correction.

const MOVES_WITH_EDGE = new Set(["edge", "zone", "cover", "verdict", "split"]);
const KIND_WORDS = {
  edge: "Edge",
  zone: "Zone",
  cover: "Shot",
  lens: "Lens",
  verdict: "Method",
  split: "Split",
  lamps: "Floodlights",
  balance: "Balance",
  forecast: "Forecast",
  break: "Break",
};
const MERGE_S = 60; // taps within a minute are one correction
const MOST_S = 3600; // no correction beyond an hour
const CORRECTION_KEY = `quarterstop-correction-${data.venue_key}`;

let corrections = []; // [{from, seconds}]: from that time on, the edge is so much later
let rows = []; // the chosen cues of the chosen operator with their corrected times, in order

// ---- correction ----

function readCorrections() {
  try {
    const list = JSON.parse(recall(CORRECTION_KEY) ?? "[]");
    const sound = (one) => Number.isFinite(one?.from) && Number.isFinite(one?.seconds);
    return Array.isArray(list) && list.every(sound) ? list : [];
  } catch {
    return []; // spoilt text: begin afresh
  }
}

function correctionTotal() {
  return corrections.reduce((sum, one) => sum + one.seconds, 0);
}

// A cue already past when a correction was made stays where it was.
function correctedTime(cue) {
  if (!MOVES_WITH_EDGE.has(cue.kind)) return cue.epoch_s;
  return corrections.reduce((time, one) => (time > one.from ? time + one.seconds : time), cue.epoch_s);
}

function correctBy(seconds) {
  const total = correctionTotal();
  const step = Math.min(MOST_S, Math.max(-MOST_S, total + seconds)) - total;
  const now = cueTime();
  const last = corrections.at(-1);
  if (last && Math.abs(now - last.from) < MERGE_S) last.seconds += step;
  else corrections.push({ from: now, seconds: step });
  corrections = corrections.filter((one) => one.seconds !== 0);
  applyCorrections();
}

function undoCorrection() {
  corrections.pop();
  applyCorrections();
  byId("correct-later").focus(); // the undo button may just have gone
}

function applyCorrections() {
  remember(CORRECTION_KEY, JSON.stringify(corrections));
  showCorrection();
  listCues();
}

function showCorrection() {
  const total = correctionTotal();
  const last = corrections.at(-1);
  const words = last
    ? `Cues corrected by ${signedMinutes(total)}, on this device only (last at ${clockText(last.from, true)}). ` +
      "Cues that were past then stay, and so do lens, floodlight and break cues. The drawings are not moved."
    : "No correction.";
  setText(byId("correction"), words);
  byId("correction").classList.toggle("on", Boolean(last));
  byId("correct-undo").hidden = !last;
  byId("correct-minutes").value = String(total / 60);
}

function setTypedCorrection(event) {
  event.preventDefault();
  const minutes = byId("correct-minutes").valueAsNumber;
  if (Number.isFinite(minutes)) correctBy(Math.round(minutes * 60) - correctionTotal());
}

// ---- the list ----

function spanWords(seconds) {
  return seconds < 90 ? `${Math.round(seconds)} s` : `${Math.round(seconds / 6) / 10} min`;
}

function marginWords({ cue, time }) {
  const parts = [];
  if (time !== cue.epoch_s) parts.push(`moved ${signedMinutes(time - cue.epoch_s)}`);
  if (cue.lead_s !== data.usual_lead_s) parts.push(`warn ${spanWords(cue.lead_s)} ahead`);
  if (cue.uncertain_s) parts.push(`\u00b1${spanWords(cue.uncertain_s)}`);
  if (cue.uncertain_s === null) parts.push("may not come");
  if (cue.during === "outside") parts.push("outside play");
  return parts.join(", ");
}

function whoWords(cue) {
  return cue.cameras.filter((k) => data.cameras[k]).map(cameraName).join(", ");
}

function listCues() {
  const operator = data.operators[Number(byId("operator").value)]?.name;
  const all = byId("cue-choice").value === "all";
  const shown = data.cues.filter((cue) => all || cue.key_action);
  const mine = shown.filter((cue) => !operator || !cue.operators.length || cue.operators.includes(operator));
  rows = mine.map((cue) => ({ cue, time: correctedTime(cue) }));
  rows.sort((one, other) => one.time - other.time);
  for (const row of rows) row.node = cueNode(row);
  byId("cue-list").replaceChildren(...rows.map((row) => row.node));
  layTicks(rows.map((row) => row.time));
  shownNext = null;
  redraw();
}

function cueNode(row) {
  const { cue, time } = row;
  const item = make("li");
  const button = make("button", cue.key_action ? "cue key-action" : "cue");
  button.type = "button";
  button.append(make("span", "cue-time", clockText(time, true)), make("span", "cue-kind", KIND_WORDS[cue.kind] ?? "Cue"));
  button.append(make("span", "cue-what", cue.what));
  for (const line of [marginWords(row), cue.detail, whoWords(cue)]) {
    if (line) button.append(make("span", "cue-more", line));
  }
  button.addEventListener("click", () => moveTo(time));
  item.append(button);
  return item;
}

// ---- the next cue ----

let shownNext = null;

function nextRow(now) {
  return rows.find((row) => row.time >= now) ?? null;
}

function stepToNextCue() {
  const row = rows.find((one) => one.time > cueTime());
  if (row) moveTo(row.time);
}

function countWords(seconds) {
  const whole = Math.ceil(seconds);
  if (whole <= 0) return "now";
  if (whole > 86400) return `in ${Math.round(whole / 86400)} days`;
  const [hours, minutes, rest] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, String(whole % 60).padStart(2, "0")];
  return hours ? `in ${hours}:${String(minutes).padStart(2, "0")}:${rest}` : `in ${minutes}:${rest}`;
}

function paintCues() {
  const now = cueTime();
  const row = nextRow(now);
  const box = byId("next-cue");
  const ready = row && row.time - now <= row.cue.lead_s;
  setText(byId("next-count"), row ? `${countWords(row.time - now)}${ready ? " \u2013 warn now" : ""}` : "");
  box.classList.toggle("ready", Boolean(ready));
  // While playing, cues fly past: a screen reader would only stammer.
  byId("next-words").setAttribute("aria-live", state.playing ? "off" : "polite");
  if (shownNext === (row ?? "none")) return;
  shownNext = row ?? "none";
  showNext(row);
  markRows(row);
}

function showNext(row) {
  const words = byId("next-words");
  if (!row) {
    words.replaceChildren(make("p", "next-what", byId("cue-choice").value === "all" ? "No more cues." : "No more key actions."));
    return;
  }
  const { cue, time } = row;
  const lines = [make("p", "next-what", `${clockText(time, true)} ${cue.what}`), make("p", "next-more", marginWords(row))];
  if (cue.detail) lines.push(make("p", "next-more", cue.detail));
  lines.push(make("p", "next-more", whoWords(cue)));
  words.replaceChildren(...lines);
}

function markRows(next) {
  const at = next ? rows.indexOf(next) : rows.length;
  rows.forEach((row, k) => {
    row.node.classList.toggle("past", k < at);
    if (k === at) row.node.setAttribute("aria-current", "true");
    else row.node.removeAttribute("aria-current");
  });
  const list = byId("cue-list");
  if (next) list.scrollTop = next.node.offsetTop - list.offsetTop;
}

function startCues() {
  const list = byId("operator");
  list.append(new Option("all operators", "-1"));
  data.operators.forEach((operator, k) => {
    const names = operator.cameras.filter((camera) => data.cameras[camera]).map(cameraName);
    list.append(new Option(`${operator.name}: ${names.join(", ")}`, String(k)));
  });
  list.addEventListener("change", listCues);
  byId("cue-choice").addEventListener("change", listCues);
  if (data.usual_lead_s !== null) {
    setText(byId("lead-note"), `Warn ${spanWords(data.usual_lead_s)} ahead, where nothing else is said.`);
  }
  byId("correct-later").addEventListener("click", () => correctBy(60));
  byId("correct-earlier").addEventListener("click", () => correctBy(-60));
  byId("correct-undo").addEventListener("click", undoCorrection);
  byId("correct-form").addEventListener("submit", setTypedCorrection);
  corrections = readCorrections();
  showCorrection();
  listCues();
  painters.push(paintCues);
}
