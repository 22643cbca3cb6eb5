// Date and time: fields, sliders, play, and the question where a clock change repeats a time.
// In: hands. Out: the shown instant by the venue's own clock.

import { button, byId, make, setText } from "./dom.js";
import { setTime } from "./exchange.js";
import { atText, clockText, emit, minuteOf, on, state } from "./state.js";

const DAY_MS = 86400000;
export const THUMB_PX = 32; // width of the slider's thumb, as in the style sheet
const PLAY_SECONDS = 20; // the shown span runs through in this time
const CALM_STEP_MIN = 10; // with reduced motion, play moves in still steps

// First and last minute of the slider.
export function shownSpan() {
  return { from: clock.from, to: clock.to };
}

const clock = { from: 0, to: 1439, playing: false };

function dayOfYear(date) {
  const [year, month, day] = date.split("-").map(Number);
  return Math.round((Date.UTC(year, month - 1, day) - Date.UTC(year, 0, 1)) / DAY_MS);
}

function dateOf(year, day) {
  return new Date(Date.UTC(year, 0, 1) + day * DAY_MS).toISOString().slice(0, 10);
}

function longDate(date) {
  const options = { weekday: "short", day: "numeric", month: "long", year: "numeric", timeZone: "UTC" };
  return new Intl.DateTimeFormat("en-GB", options).format(new Date(`${date}T12:00:00Z`));
}

// ---- the span of the time slider: the match where there is one on this day, or the whole day ----

function matchSpan() {
  const { course } = state;
  if (!course || state.courseDate !== state.date) return null;
  const [first, last] = [minuteOf(course.clock[0]), minuteOf(course.clock.at(-1))];
  return last > first ? [first, last] : null;
}

function laySpan() {
  const span = byId("span-choice").value === "match" ? matchSpan() : null;
  [clock.from, clock.to] = span ?? [0, 1439];
  if (state.minute < clock.from || state.minute > clock.to) [clock.from, clock.to] = [0, 1439];
  const slider = byId("time-slider");
  slider.min = clock.from;
  slider.max = clock.to;
  slider.value = state.minute;
  layMarks();
  emit("span");
}

// The thumb's middle does not reach the ends of the range input; marks keep to its travel.
function left(minute) {
  const share = (minute - clock.from) / (clock.to - clock.from);
  return `calc(${THUMB_PX / 2}px + ${share.toFixed(4)} * (100% - ${THUMB_PX}px))`;
}

function layMarks() {
  const box = byId("stones");
  box.replaceChildren();
  const span = matchSpan();
  if (!span) return markStart(box);
  let end = -Infinity;
  for (const stone of state.course.milestones) {
    const minute = minuteOf(stone.clock);
    if (minute < clock.from || minute > clock.to) continue;
    const tick = make("i", { class: "stone-tick" });
    tick.style.left = left(minute);
    const label = make("span", { class: "stone", text: `${stone.clock} ${stone.name}` });
    box.append(tick, label);
    const besides = Math.max(wish(box, label, minute), end + 12); // a little to the right, its tick still above it
    if (besides - wish(box, label, minute) > label.offsetWidth / 3) label.textContent = stone.clock; // no room for its words
    const x = label.textContent === stone.clock ? wish(box, label, minute) : besides;
    if (x < end + 6) label.remove(); // nor for its time: the tick stays
    else {
      label.style.left = `${x}px`;
      end = x + label.offsetWidth;
    }
  }
}

// Where a label begins that has its minute in the middle, inside of the box.
function wish(box, label, minute) {
  const share = (minute - clock.from) / (clock.to - clock.from);
  const x = THUMB_PX / 2 + share * (box.clientWidth - THUMB_PX) - label.offsetWidth / 2;
  return Math.max(0, Math.min(x, box.clientWidth - label.offsetWidth));
}

function markStart(box) {
  const minute = minuteOf(state.ground?.start);
  if (minute === null || minute < clock.from || minute > clock.to) return;
  const tick = make("i", { class: "stone-tick" });
  tick.style.left = left(minute);
  const label = make("span", { class: "stone", text: `${state.ground.start} start` });
  box.append(tick, label);
  label.style.left = `${wish(box, label, minute)}px`;
}

// ---- moving in time ----

export function moveMinutes(by) {
  if (!state.ground) return;
  stopPlay();
  const whole = state.minute + by;
  const days = Math.floor(whole / 1440);
  const date = days ? new Date(Date.parse(`${state.date}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10) : state.date;
  setTime(date, whole - 1440 * days);
}

export function togglePlay() {
  if (clock.playing) stopPlay();
  else startPlay();
}

function stopPlay() {
  clock.playing = false;
  setText(byId("play"), "Play");
}

function startPlay() {
  if (!state.ground) return;
  clock.playing = true;
  setText(byId("play"), "Pause");
  const begin = state.minute >= clock.to ? clock.from : state.minute;
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  let origin = null;
  const step = (stamp) => {
    if (!clock.playing) return;
    origin ??= stamp;
    const gone = ((stamp - origin) / 1000 / PLAY_SECONDS) * (clock.to - clock.from);
    const minute = Math.min(clock.to, Math.round(begin + (calm ? Math.floor(gone / CALM_STEP_MIN) * CALM_STEP_MIN : gone)));
    if (minute !== state.minute) setTime(state.date, minute);
    if (begin + gone >= clock.to) stopPlay();
    else requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
}

// ---- what is shown ----

function show() {
  if (!state.ground) return;
  setText(byId("clock"), clockText(state.minute));
  setText(byId("zone"), state.shadow?.at.startsWith(atText()) ? state.shadow.zone_name : state.ground.zone);
  setText(byId("day-words"), longDate(state.date));
  if (byId("date").value !== state.date) byId("date").value = state.date;
  if (byId("time").value !== clockText(state.minute)) byId("time").value = clockText(state.minute);
  const year = Number(state.date.slice(0, 4));
  const days = byId("date-slider");
  days.max = dayOfYear(`${year}-12-31`);
  days.value = dayOfYear(state.date);
  days.setAttribute("aria-valuetext", longDate(state.date));
  const slider = byId("time-slider");
  if (state.minute < clock.from || state.minute > clock.to) laySpan();
  slider.value = state.minute;
  slider.setAttribute("aria-valuetext", clockText(state.minute));
  if (matchSpan() === null && byId("span-choice").value === "match") laySpan();
}

// A repeated hour is asked about, a skipped one is said; neither is guessed.
function showQuestion() {
  const refusal = state.timeProblem;
  const box = byId("time-question");
  box.hidden = !refusal;
  if (!refusal) return box.replaceChildren();
  const choices = (refusal.choices ?? []).map((choice) =>
    button(`${clockText(state.minute)} ${choice.zone_name} (the ${choice.fold})`, () => setTime(state.date, state.minute, choice.fold)));
  box.replaceChildren(make("p", { text: refusal.message }), ...choices);
}

export function startTimes() {
  byId("time-slider").addEventListener("input", (event) => {
    stopPlay();
    setTime(state.date, Number(event.target.value));
  });
  byId("date-slider").addEventListener("input", (event) => {
    stopPlay();
    setTime(dateOf(Number(state.date.slice(0, 4)), Number(event.target.value)), state.minute);
  });
  byId("date").addEventListener("change", (event) => {
    if (/^\d{4}-\d\d-\d\d$/.test(event.target.value)) setTime(event.target.value, state.minute);
  });
  byId("time").addEventListener("change", (event) => {
    const minute = minuteOf(event.target.value);
    if (minute !== null) setTime(state.date, minute);
  });
  byId("back").addEventListener("click", () => moveMinutes(-1));
  byId("ahead").addEventListener("click", () => moveMinutes(1));
  byId("play").addEventListener("click", togglePlay);
  byId("span-choice").addEventListener("change", () => {
    laySpan();
    emit("time");
  });
  on("time shadow ground", show);
  on("shadow", showQuestion);
  on("course", laySpan);
  on("ground", laySpan);
  let width = innerWidth;
  window.addEventListener("resize", () => {
    if (innerWidth === width) return;
    width = innerWidth;
    layMarks();
  });
}
