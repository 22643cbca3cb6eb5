// Part 9 of 9: theme, keys, help, layout on resize, and the start of it all.

const THEME_KEY = "quarterstop-theme";
const MINUTE_S = 60;

const KEYS = [
  ["\u2190 \u2192", "one minute back or on (with Shift: ten)"],
  ["Space", "play or pause"],
  ["1 to 9", "choose a camera"],
  ["N", "go to the next cue"],
  ["D", "day or night colours"],
  ["?", "this list"],
];

function setTheme(theme) {
  document.documentElement.dataset.theme = theme;
  setText(byId("theme"), theme === "night" ? "Day colours" : "Night colours");
  ink = inkOf(document.documentElement);
  layPlan();
  redrawAll();
}

function flipTheme() {
  const theme = document.documentElement.dataset.theme === "night" ? "day" : "night";
  remember(THEME_KEY, theme);
  setTheme(theme);
}

function firstTheme() {
  const kept = recall(THEME_KEY);
  if (kept === "day" || kept === "night") return kept;
  return matchMedia("(prefers-color-scheme: dark)").matches ? "night" : "day";
}

function layAll() {
  layPlan();
  layChart();
  const pan = byId("pan").value;
  layEye();
  if (eye.lens) {
    byId("pan").value = pan; // turning the tablet keeps the aim
    aimLens();
  }
  layStones();
  redrawAll();
}

// ---- keys ----

// A control that has its own use for the key keeps it; Space also works every button.
function keepsKey(target, key) {
  if (target.matches("select, input:not([type=range])")) return true;
  if (key === " ") return target.matches("button");
  return key.startsWith("Arrow") && target.matches("input[type=range]") && target.id !== "time-slider";
}

function stepMinutes(minutes) {
  moveTo(state.time + minutes * MINUTE_S);
}

function actOnKey(event) {
  const { key, shiftKey } = event;
  if (key === "ArrowRight") stepMinutes(shiftKey ? 10 : 1);
  else if (key === "ArrowLeft") stepMinutes(shiftKey ? -10 : -1);
  else if (key === " ") setPlaying(!state.playing);
  else if (key >= "1" && key <= "9") chooseCamera(Number(key) - 1);
  else if (key === "n" || key === "N") stepToNextCue();
  else if (key === "d" || key === "D") flipTheme();
  else if (key === "?") byId("help-dialog").showModal();
  else return false;
  return true;
}

function onKey(event) {
  const off = !byId("keys-on").checked || byId("help-dialog").open;
  if (off || event.ctrlKey || event.metaKey || event.altKey || keepsKey(event.target, event.key)) return;
  if (actOnKey(event)) event.preventDefault();
}

// ---- start ----

function startHelp() {
  for (const [keys, words] of KEYS) byId("key-list").append(make("dt", "", keys), make("dd", "", words));
  byId("help").addEventListener("click", () => byId("help-dialog").showModal());
}

function startWords() {
  setText(byId("title"), data.title);
  setText(byId("heading"), data.heading);
  for (const caution of data.cautions) byId("cautions").append(make("li", "", caution));
}

// A narrow window shows one long column; a change of height alone (a phone's address bar) is no new layout.
function watchSize() {
  let width = innerWidth;
  window.addEventListener("resize", () => {
    if (innerWidth === width) return;
    width = innerWidth;
    layAll();
  });
}

// For tests: what the page shows now.
window.boardState = () => ({
  index: state.index,
  camera: state.camera,
  place: state.place,
  correction_s: correctionTotal(),
  following: state.following,
});

function start() {
  startWords();
  startHelp();
  startTime();
  startPlan();
  startPlace();
  startForecast();
  startCamera();
  startEye();
  startCues();
  setTheme(firstTheme());
  layAll();
  byId("theme").addEventListener("click", flipTheme);
  document.addEventListener("keydown", onKey);
  watchSize();
  const kickoff = data.milestones[0]?.epoch_s ?? instants[0];
  setTime(kickoff);
}

start();
