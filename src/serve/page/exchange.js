// Keeps the page and the server in step. In: changes that people make. Out: the state, renewed,
// with what is not new yet marked as stale.

import { Refusal, get, listen, newestWins, post } from "./api.js";
import { announce, whenQuiet } from "./dom.js";
import { atText, emit, indexDimensions, minuteOf, state } from "./state.js";

const REST_MS = 180; // light and the plan of the match are asked for when the hand rests
const BUSY_WAIT_MS = 700;

// ---- the ground ----

export function takeGround(ground) {
  if (state.ground && ground.revision === state.ground.revision && ground.file === state.ground.file) {
    state.ground = ground; // the same numbers: only how they stand to the file may be new
    emit("saved");
    return;
  }
  const first = state.ground === null || state.ground.file !== ground.file;
  state.ground = ground;
  indexDimensions();
  if (first || !state.date) {
    state.date = ground.date ?? new Date().toISOString().slice(0, 10);
    state.minute = minuteOf(ground.start) ?? 900;
    state.fold = null;
    state.kept = null;
    state.plan = null;
    state.course = null;
    state.instant = null;
    state.shadow = null;
  }
  if (state.preview?.shadow) state.shadow = state.preview.shadow;
  hand += 1; // what is still asked of the ground before would show as a change under way
  state.preview = null;
  state.trial = [];
  state.problems = [];
  markStale("ground");
  askAll(); // before the page is drawn anew: the server works meanwhile
  emit("stale");
  emit("ground");
  emit("saved");
  if (first) emit("time");
}

function markStale(cause) {
  state.stale.shadow = true;
  state.stale.instant = true;
  if (cause === "ground") state.stale.plan = true;
}

function staleFrom(cause) {
  markStale(cause);
  emit("stale");
}

export async function loadGround() {
  const ground = await get("/api/ground");
  if (ground?.outline) takeGround(ground);
  return Boolean(ground?.outline);
}

// Only where it helps beside fields: the page works without it.
export async function loadSchema() {
  state.schema = await get("/api/schema").catch(() => null);
  emit("schema");
}

// ---- changes, strictly one after another ----

let line = Promise.resolve();

// `what` is told when it was refused. Gives true when the ground has taken the change.
function change(path, body, what) {
  const turn = line.then(() => send(path, body, what));
  line = turn.catch(() => false);
  return turn;
}

async function send(path, body, what) {
  stopWork();
  try {
    const ground = await post(path, { ...body, revision: state.ground?.revision });
    if (ground?.outline) takeGround(ground);
    if (state.preview) {
      forgetPreview(); // the change changed nothing
      askAll();
    }
    announce(`${what}: done.`);
    return true;
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    refused(refusal, path, body, what);
    askAll();
    return false;
  }
}

function forgetPreview() {
  state.preview = null;
  state.trial = [];
  emit("trial");
  emit("preview");
}

function refused(refusal, path, body, what) {
  forgetPreview();
  if (refusal.status === 409) {
    if (refusal.ground) takeGround(refusal.ground);
    else loadGround().catch(() => {});
    state.problems = [{
      text: `${what}: not done, since the ground was changed elsewhere meanwhile. The page shows it as it is now.`,
      key: null,
      retry: () => change(path, body, what),
    }];
  } else state.problems = refusal.problems;
  if (path !== "/api/text") emit("problems"); // the text lists its own
}

export function edit(set, what) {
  state.edited = set[0]?.address ?? null;
  return change("/api/edit", { set, preview: false }, what);
}

export function setValues(list, what) {
  state.edited = list[0]?.address ?? null;
  if (list.length === 1) return change("/api/table", { set_value: list[0] }, what);
  return change("/api/table", { set_values: list }, what);
}

export function addTable(table, values, what) {
  return change("/api/table", { add: { table, values } }, what);
}

export function removeTable(table, what) {
  return change("/api/table", { remove: table }, what);
}

export function takeText(text) {
  return change("/api/text", { text }, "Text");
}

export const undo = () => state.ground?.can_undo && change("/api/undo", {}, "Undo");
export const redo = () => state.ground?.can_redo && change("/api/redo", {}, "Redo");

// Another ground: a file, a demo or a new one. Throws a `Refusal` for the form to show.
export async function openGround(path, body) {
  stopWork();
  const ground = await post(path, body);
  state.ground = null;
  state.choice = "field";
  if (ground?.outline) takeGround(ground);
  else await loadGround();
}

// ---- a change under the pointer ----

let hand = 0; // counts drags: an answer that comes after the end of its drag is dropped

const askPreview = newestWins(async (set, mine) => {
  if (mine !== hand) return;
  try {
    const body = { revision: state.ground.revision, set, preview: true, at: atText(), fold: state.fold ?? undefined };
    const answer = await post("/api/edit", body);
    if (mine !== hand) return;
    state.preview = answer;
    state.previewOf = set;
    state.refusedPreview = null;
  } catch (refusal) {
    if (mine !== hand) return;
    state.refusedPreview = refusal;
  }
  emit("preview");
});

export function preview(set) {
  state.trial = set;
  emit("trial");
  const known = state.stale.instant && state.stale.plan; // said once a drag, not at each step of it
  state.stale.instant = true;
  state.stale.plan = true;
  if (!known) emit("stale");
  askPreview(set, hand);
}

// What was shown stays until the ground itself has it; with `back` it is forgotten.
export function endPreview(back) {
  hand += 1;
  state.refusedPreview = null;
  if (!back) return;
  state.trial = [];
  state.preview = null;
  emit("trial");
  emit("preview");
  staleFrom("ground");
  askAll();
}

// The shadow of one thing and that of all others, at the shown time; null where there is none.
export async function shadowApart(table) {
  const asked = { ...query(), table };
  const answer = await get("/api/shadow/apart", asked).catch(() => null);
  return answer && asked.revision === state.ground.revision && asked.at === atText() ? { ...answer, table } : null;
}

// The shadow of another state, for comparison: the same numbers as `set`, at the shown time.
export function shadowWith(set) {
  return post("/api/edit", { revision: state.ground.revision, set, preview: true, at: atText(), fold: state.fold ?? undefined });
}

// ---- what follows from ground and time ----

function query() {
  return { revision: state.ground.revision, at: atText(), fold: state.fold };
}

const askShadow = newestWins(async () => {
  if (!state.ground || !state.date) return;
  const asked = query();
  try {
    const answer = await get("/api/shadow", asked);
    if (asked.revision !== state.ground.revision) return;
    state.shadow = answer;
    state.stale.shadow = asked.at !== atText();
    state.timeProblem = null;
  } catch (refusal) {
    timeRefused(refusal, askShadow);
  }
  emit("shadow");
});

// Light takes longer: an old question ends when a newer one is asked, or when a change is made.
let instantStop = null;

async function askInstant() {
  instantStop?.abort();
  if (!state.date || !state.ground?.cameras.length) return;
  const stop = new AbortController();
  instantStop = stop;
  const asked = query();
  try {
    const answer = await get("/api/instant", asked, stop.signal);
    if (stop.signal.aborted || asked.revision !== state.ground.revision || asked.at !== atText()) return;
    state.instant = answer;
    state.stale.instant = state.trial.length > 0;
  } catch (refusal) {
    if (stop.signal.aborted) return;
    if (refusal.status === 503 || refusal.status === 429) setTimeout(askInstantLater, BUSY_WAIT_MS);
  }
  emit("instant");
}

function stopWork() {
  instantStop?.abort();
  planStop?.abort();
}

function timeRefused(refusal, again) {
  if (refusal.status === 503 || refusal.status === 429) setTimeout(again, BUSY_WAIT_MS);
  else if (refusal.status === 422) state.timeProblem = refusal;
}

// The whole match, coarse first: shade alone, which takes a moment, then every quarter of an hour
// a first look in the sky light of before, then each minute in its own. An old question ends when
// a newer one is asked.
const COURSE_STEP_MIN = 5;
const PLAN_STEPS_MIN = [15, 1];
let planStop = null;

async function askCourse(asked, signal) {
  const answer = await get("/api/outlook", { ...asked, step: COURSE_STEP_MIN }, signal).catch(() => null);
  if (!answer || signal.aborted || asked.revision !== state.ground.revision) return;
  if (!state.stale.plan && state.planDate === asked.date) return; // the plan itself was quicker
  state.course = answer;
  state.courseDate = asked.date;
  emit("course");
}

async function askPlan() {
  planStop?.abort();
  const stop = new AbortController();
  planStop = stop;
  const asked = { revision: state.ground.revision, date: state.date, start: state.ground.start };
  if (!asked.start || !state.ground.cameras.length) return;
  // a plan of before is a better stopgap than shade alone
  if (!state.plan || state.planDate !== asked.date) askCourse(asked, stop.signal);
  for (const step of PLAN_STEPS_MIN) {
    try {
      const answer = await get("/api/plan", { ...asked, step, first_look: step > 1 }, stop.signal);
      if (stop.signal.aborted || asked.revision !== state.ground.revision) return;
      state.plan = answer;
      state.course = answer;
      state.planDate = state.courseDate = asked.date;
      state.planStep = step;
      state.stale.plan = state.trial.length > 0 || step > 1;
      emit("plan");
      emit("course");
      if (step > 1 && state.stale.instant) askInstant();
    } catch (refusal) {
      if (stop.signal.aborted || refusal.status === 409) return;
      if (state.stale.instant) askInstantLater();
      if (refusal.status === 503 || refusal.status === 429) setTimeout(askPlanLater, BUSY_WAIT_MS);
      return;
    }
  }
}

const askPlanLater = whenQuiet(() => askPlan(), 350);

// At once after a change that comes by itself; while changes follow each other, when they rest.
let lastChange = -Infinity;

function askPlanSoon() {
  const rested = performance.now() - lastChange > 350;
  lastChange = performance.now();
  if (rested) askPlan();
  else askPlanLater();
}
const askInstantLater = whenQuiet(() => askInstant(), REST_MS);

export function askAll() {
  if (!state.ground || state.preview) return;
  const isPlanned = state.ground.start && state.ground.cameras.length;
  if (isPlanned) askPlanSoon(); // asks for the instant when the first look is there
  else askInstantLater();
  askShadow();
}

export function setTime(date, minute, fold = null) {
  const otherDay = date !== state.date;
  state.date = date;
  state.minute = Math.max(0, Math.min(1439, Math.round(minute)));
  state.fold = fold;
  staleFrom(otherDay ? "ground" : "time");
  emit("time");
  askShadow();
  askInstantLater();
  if (otherDay) askPlanLater();
}

// ---- what the server says by itself ----

let heard = null; // revision that the server told of last
let mustLook = false; // the ground must be fetched even at the same revision

const followGround = whenQuiet(() => {
  line = line.then(() => {
    if (!mustLook && heard === state.ground?.revision) return null; // our own change, answered already
    mustLook = false;
    return loadGround();
  }).catch(() => {});
}, 60);

function lookAgain() {
  mustLook = true;
  followGround();
}

function hearOfGround({ revision, cause, saved }) {
  const { ground } = state;
  if (cause === "saved" && ground?.revision === revision && saved && !ground.conflict && !ground.save_problem) {
    ground.saved = true;
    return emit("saved");
  }
  if (cause === "file") announce("The file was changed by another program. The page follows it.");
  heard = revision;
  if (cause === "saved") mustLook = true;
  followGround();
}

export function listenToServer() {
  listen(
    {
      ground: hearOfGround,
      conflict: lookAgain,
      missed: lookAgain,
      forecast: () => emit("forecast"),
      job: (data) => {
        state.jobNews = data;
        emit("job");
      },
    },
    (up) => {
      if (up && state.ground) lookAgain(); // something may have happened meanwhile
      if (up === state.connected) return;
      state.connected = up;
      emit("connected");
    },
  );
}
