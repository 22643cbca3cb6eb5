// Part 1 of 9 (time, plan, place, forecast, camera, light, eye, cues, main; joined in this order into one
// script, behind the modules that the live page draws with too: src/output/front).
// Here: the data, the shared state, small helpers, the time line, play and "follow the clock".

const data = JSON.parse(document.getElementById("plan-data").textContent);
const instants = data.epoch_s;
const lastIndex = instants.length - 1;

const state = {
  time: instants[0], // seconds; the one source of truth, the index follows from it
  index: 0,
  camera: 0,
  place: null, // [along, across] in metres
  following: false,
  playing: false,
};

const PLAY_SECONDS = 20; // the whole plan runs through in this time
const CALM_STEP_S = 600; // with reduced motion, play moves in still steps of ten minutes
const REST_MS = 120;
const THUMB_PX = 32; // width of the slider's thumb, as in the style sheet

function byId(id) {
  return document.getElementById(id);
}

// All text from the data goes in through textContent: names may be hostile.
function make(tag, className, text) {
  const node = document.createElement(tag);
  if (className) node.className = className;
  if (text !== undefined) node.textContent = text;
  return node;
}

// Writes only what has changed, so that dragging costs no needless layout.
function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

// Storage may be forbidden (private window, opened from a file): the page works without.
function recall(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

function remember(key, text) {
  try {
    localStorage.setItem(key, text);
  } catch {
    // Nothing to do: the setting then lasts as long as the page is open.
  }
}

// ---- drawing once per frame ----

const painters = []; // each part adds its own; all run once per frame when something changed
let frameAsked = false;
let look = 0; // counts changes other than of time: size, theme, camera, aim, place

// For a new time; the pictures are drawn again only when that means another instant.
function redraw() {
  if (frameAsked) return;
  frameAsked = true;
  requestAnimationFrame(() => {
    frameAsked = false;
    for (const paint of painters) paint();
  });
}

function redrawAll() {
  look += 1;
  redraw();
}

// Paints a canvas only when it would differ, and out of sight only when the movement rests:
// a drag stays smooth and a tablet that follows the clock for hours keeps its battery.
function whenSeen(canvas, paint) {
  let seen = true;
  let timer = 0;
  let shown = "";
  const paintNow = () => {
    shown = `${look} ${state.index}`;
    paint();
  };
  const watcher = new IntersectionObserver((entries) => {
    seen = entries.at(-1).isIntersecting;
    if (seen) redraw();
  });
  watcher.observe(canvas);
  return () => {
    if (shown === `${look} ${state.index}`) return;
    clearTimeout(timer);
    if (seen) paintNow();
    else timer = setTimeout(paintNow, REST_MS);
  };
}

// Width inside the padding: a canvas must be laid out by its box, not by its last size.
function contentWidth(box) {
  const style = getComputedStyle(box);
  return box.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
}

function surfaceOf(canvas, width, height) {
  return { pen: fitCanvas(canvas, width, height), width, height };
}

// ---- times ----

// Seconds from UTC to the clock of the venue, read from the plan's own first clock text.
function zoneShift() {
  const [hours, minutes] = data.clock[0].split(":").map(Number);
  const utc = Math.floor(instants[0] / 60) % 1440;
  const ahead = (hours * 60 + minutes - utc + 2880) % 1440;
  return (ahead > 840 ? ahead - 1440 : ahead) * 60; // zones run from -10 h to +14 h
}

const shift = zoneShift();

function clockText(epoch, withSeconds) {
  const text = new Date((epoch + shift) * 1000).toISOString();
  return text.slice(11, withSeconds ? 19 : 16);
}

function dateText(epoch) {
  const options = { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" };
  return new Intl.DateTimeFormat("en-GB", options).format(new Date((epoch + shift) * 1000));
}

function signedMinutes(seconds) {
  const minutes = Math.round(seconds / 6) / 10;
  return `${minutes < 0 ? "\u2212" : "+"}${Math.abs(minutes)} min`;
}

function nearestIndex(epoch) {
  let low = 0;
  let high = lastIndex;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (instants[middle] <= epoch) low = middle;
    else high = middle;
  }
  return epoch - instants[low] < instants[high] - epoch ? low : high;
}

function setTime(epoch) {
  state.time = Math.min(Math.max(epoch, instants[0]), instants[lastIndex]);
  state.index = nearestIndex(state.time);
  redraw();
}

// A hand on the time (slider, keys, a tapped cue) ends both play and following.
function moveTo(epoch) {
  setPlaying(false);
  setFollowing(false);
  setTime(epoch);
}

// ---- play ----

function setPlaying(on) {
  if (state.playing === on) return;
  state.playing = on;
  setText(byId("play"), on ? "Pause" : "Play");
  redraw(); // the live region is silent while playing and speaks again afterwards
  if (on) startPlay();
}

function startPlay() {
  setFollowing(false);
  const span = instants[lastIndex] - instants[0];
  const begin = state.time >= instants[lastIndex] ? instants[0] : state.time;
  const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
  let origin = null;
  const step = (stamp) => {
    if (!state.playing) return;
    origin ??= stamp;
    const gone = ((stamp - origin) / 1000 / PLAY_SECONDS) * span;
    setTime(begin + (calm ? Math.floor(gone / CALM_STEP_S) * CALM_STEP_S : gone));
    if (begin + gone >= instants[lastIndex]) {
      setTime(instants[lastIndex]);
      setPlaying(false);
    } else requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
}

// ---- follow the clock ----

// For rehearsal and tests, #now=SECONDS starts the clock there; it runs on from the page's start.
function readTestOffset() {
  const match = /(?:^#|&)now=(\d+(?:\.\d+)?)/.exec(location.hash);
  return match ? Number(match[1]) - Date.now() / 1000 : null;
}

let testOffset = readTestOffset();
let followTimer = 0;

function deviceNow() {
  return Date.now() / 1000 + (testOffset ?? 0);
}

function setFollowing(on) {
  if (state.following === on) return;
  state.following = on;
  byId("follow").setAttribute("aria-pressed", String(on));
  clearInterval(followTimer);
  if (on) {
    setPlaying(false);
    followTimer = setInterval(followTick, 250);
    followTick();
  } else setText(byId("follow-note"), "");
}

function followTick() {
  const now = deviceNow();
  setText(byId("follow-note"), followWords(now));
  setTime(now);
}

function followWords(now) {
  const clock = testOffset === null ? "this device's clock" : "a TEST clock";
  const gap = now < instants[0] ? "before" : now > instants[lastIndex] ? "after" : "";
  if (!gap) return `Following ${clock}.`;
  const seen = `${dateText(now)}, ${clockText(now)}`;
  return `Not in the time of this plan: ${clock} says ${seen}, which is ${gap} the plan of ` +
    `${dateText(instants[0])}, ${clockText(instants[0])} to ${clockText(instants[lastIndex])}.`;
}

// The time that cues are counted from: outside the plan the true clock, not the slider's end.
function cueTime() {
  return state.following ? deviceNow() : state.time;
}

// ---- the slider and its marks ----

function timeShare(epoch) {
  return (epoch - instants[0]) / (instants[lastIndex] - instants[0]);
}

// The thumb's middle does not reach the ends of the range input; marks must keep to its travel.
function trackLeft(share) {
  return `calc(${THUMB_PX / 2}px + ${share} * (100% - ${THUMB_PX}px))`;
}

function layStones() {
  const box = byId("stones");
  box.replaceChildren();
  const ends = [0, 0]; // where the last label of either row ends
  for (const stone of data.milestones) {
    const share = timeShare(stone.epoch_s);
    if (share < 0 || share > 1) continue;
    const tick = make("i", "stone-tick");
    tick.style.left = trackLeft(share);
    const label = make("span", "stone", "");
    box.append(tick, label);
    const place = (text) => {
      label.textContent = text;
      const wish = THUMB_PX / 2 + share * (box.clientWidth - THUMB_PX) - label.offsetWidth / 2;
      const left = Math.max(0, Math.min(wish, box.clientWidth - label.offsetWidth));
      return [left, ends.findIndex((end) => left >= end)];
    };
    // without room for the name there is the time, without room for that the mark alone
    let [left, row] = place(`${stone.clock} ${stone.name}`);
    if (row < 0) [left, row] = place(stone.clock);
    if (row < 0) {
      label.remove();
      continue;
    }
    ends[row] = left + label.offsetWidth + 6;
    label.style.left = `${left}px`;
    label.classList.toggle("low", row === 1);
  }
  box.classList.toggle("two-rows", ends[1] > 0);
}

function layTicks(times) {
  const box = byId("ticks");
  box.replaceChildren();
  for (const [from, to] of data.breaks) {
    const band = make("i", "band");
    band.style.left = trackLeft(timeShare(from));
    band.style.right = `calc(100% - ${trackLeft(timeShare(to)).slice(4)})`;
    box.append(band);
  }
  for (const time of times) {
    const tick = make("i", "cue-tick");
    tick.style.left = trackLeft(Math.min(1, Math.max(0, timeShare(time))));
    box.append(tick);
  }
}

function paintTime() {
  const slider = byId("time-slider");
  const clock = clockText(state.time, state.following);
  setText(byId("clock"), clock);
  if (Number(slider.value) !== state.index) slider.value = state.index;
  if (slider.getAttribute("aria-valuetext") !== clock) slider.setAttribute("aria-valuetext", clock);
}

function startTime() {
  const slider = byId("time-slider");
  slider.max = lastIndex;
  setText(byId("zone"), data.zone);
  slider.addEventListener("input", () => moveTo(instants[Number(slider.value)]));
  byId("play").addEventListener("click", () => setPlaying(!state.playing));
  byId("follow").addEventListener("click", () => setFollowing(!state.following));
  window.addEventListener("hashchange", () => {
    testOffset = readTestOffset();
    if (state.following) followTick();
  });
  painters.push(paintTime);
}
