// The day on this screen. In: the server's state, plan and events. Out: `day`, kept as it was
// while the network is gone, with the server's time going on by this screen's own clock.

import { base, get } from "./api.js";

const ASK_AGAIN_MS = 1000; // after no answer
export const LISTEN_AGAIN_MS = 3000; // after an answer that is no stream
export const LOST_AFTER_MS = 5000; // without a sign of the server; it beats every second
const OFFSET_TOLD_S = 1;

// `outlook`: what the forecast makes of the plan, null without one.
export const day = { state: null, plan: null, outlook: null, lost: false, refused: null };

let clock = null; // { server, own, speed }: the server's time at a moment of this screen's clock
let busy = { state: false, plan: false, outlook: false };
let again = { state: false, plan: false, outlook: false };
let heard = 0;
let tell = () => {};

// Time at the ground, ms since 1970.
export function nowMs() {
  if (!clock) return Date.now();
  return clock.server + (performance.now() - clock.own) * clock.speed;
}

// Seconds that this screen's own clock is off, where that is worth a word.
export function offsetS() {
  if (!clock || day.state?.rehearsal) return null;
  const off = (Date.now() - nowMs()) / 1000;
  return Math.abs(off) > OFFSET_TOLD_S ? off : null;
}

// "15:04:20" at the ground.
export function clockText(ms, seconds = true, state = day.state) {
  const local = new Date(ms + 1000 * (state?.utc_offset_s ?? 0));
  return local.toISOString().slice(11, seconds ? 19 : 16);
}

// `asked`: when this screen asked for the server's time.
export function setClock(server, asked, speed) {
  // half of the way there and back
  const own = (asked + performance.now()) / 2;
  clock = { server, own, speed };
}

async function one(name, work) {
  if (busy[name]) {
    again[name] = true;
    return;
  }
  busy[name] = true;
  do {
    again[name] = false;
    try {
      await work();
      heard = performance.now();
      day.refused = null;
    } catch (refusal) {
      if (refusal.status !== 0) day.refused = refusal.message;
      setTimeout(() => one(name, work), ASK_AGAIN_MS);
      break;
    }
  } while (again[name]);
  busy[name] = false;
  tell();
}

export function fetchState() {
  return one("state", async () => {
    const asked = performance.now();
    day.state = await get("/api/day");
    setClock(day.state.now_ms, asked, day.state.speed);
  });
}

export function fetchPlan() {
  return one("plan", async () => {
    day.plan = await get("/api/day/plan");
  });
}

// Comes after the plan, which must not wait for it.
function fetchOutlook() {
  return one("outlook", async () => {
    day.outlook = await get("/api/day/forecast");
  });
}

async function everything() {
  fetchState();
  await fetchPlan();
  fetchOutlook();
}

// A browser tries again by itself after a cut, but not after an answer that is no stream.
function listen() {
  const stream = new EventSource(`${base}/api/day/events`);
  stream.addEventListener("open", everything);
  stream.addEventListener("missed", everything);
  stream.addEventListener("day", (event) => {
    heard = performance.now();
    fetchState();
    if (JSON.parse(event.data).planned) fetchPlan().then(fetchOutlook);
  });
  stream.addEventListener("forecast", () => {
    fetchState();
    fetchOutlook();
  });
  stream.addEventListener("beat", () => {
    heard = performance.now();
  });
  stream.addEventListener("error", () => {
    if (stream.readyState === EventSource.CLOSED) setTimeout(listen, LISTEN_AGAIN_MS);
  });
}

export function startData(onChange) {
  tell = onChange;
  listen();
  setInterval(() => {
    const lost = performance.now() - heard > LOST_AFTER_MS;
    if (lost !== day.lost) {
      day.lost = lost;
      tell();
    }
  }, 500);
  everything();
}
