// Pictures beside the plan: light on the turf, through a camera, up from a place, which cuts are
// hard when. In: the shown time and the ground. Out: the server's drawing with its description;
// what is old says so.

import { getText } from "./api.js";
import { button, byId, make, option, setText, whenQuiet } from "./dom.js";
import { choose, chooseCamera } from "./planview.js";
import { atText, clockText, on, state } from "./state.js";
import { showThrough, startThrough, throughWish } from "./through.js";

const REST_MS = 300; // a picture takes a while: asked for when the hand rests
const FOLLOW_MS = 60; // one through a camera is quick: it follows the hand
const BUSY_WAIT_MS = 900;
const CENTRE = "centre of play";

const KINDS = {
  light: "Light on the playing surface, in stops",
  through: "Through a camera",
  look_up: "Up from a place: what hides the sun",
  matching: "Cuts between cameras: which are hard when",
};

const view = { stop: null, wanted: null, shown: null, url: null };

// What the panel asks for now; nothing while it is not looked at.
function wish() {
  const { ground } = state;
  if (!ground || !state.date || byId("panel-pictures").hidden) return null;
  const kind = byId("picture-kind").value;
  const asked = { revision: ground.revision, at: atText(), fold: state.fold, kind };
  if (kind === "through") Object.assign(asked, { camera: state.camera }, throughWish());
  if (kind === "matching") {
    asked.at = `${state.date}T12:00:00`; // all of the match is in it
    asked.start = ground.start;
    asked.fold = null;
  }
  if (kind === "look_up") {
    asked.place = byId("picture-place").value || CENTRE;
    asked.at = `${state.date}T12:00:00`; // all of the day is in it
    asked.fold = null;
  }
  return asked;
}

async function ask() {
  const asked = wish();
  if (!asked) return;
  view.stop?.abort();
  if (asked.kind !== "look_up" && asked.kind !== "light" && !state.ground.cameras.length) return refuse("No cameras yet.");
  if (asked.kind === "matching" && !asked.start) return refuse("The ground has no start of play yet.");
  const key = JSON.stringify(asked);
  if (key === view.shown) return markFresh();
  const stop = new AbortController();
  view.stop = stop;
  try {
    const svg = await getText("/api/picture", asked, stop.signal);
    if (stop.signal.aborted) return;
    view.shown = key;
    show(svg, asked);
  } catch (refusal) {
    if (stop.signal.aborted || refusal.status === 409) return; // a newer question follows
    if (refusal.status === 503 || refusal.status === 429) setTimeout(askLater, BUSY_WAIT_MS);
    else refuse(refusal.message);
  }
}

const askLater = whenQuiet(ask, REST_MS);
const askSoon = whenQuiet(ask, FOLLOW_MS);

function refuse(words) {
  view.shown = null;
  byId("picture").hidden = true;
  setText(byId("picture-words"), words);
  markFresh();
}

function markFresh() {
  byId("picture-stale").hidden = true;
  byId("picture-figure").classList.remove("stale");
  byId("picture-figure").setAttribute("aria-busy", "false");
}

function show(svg, asked) {
  const drawn = new DOMParser().parseFromString(svg, "image/svg+xml");
  const words = (tag) => drawn.querySelector(tag)?.textContent ?? "";
  if (view.url) URL.revokeObjectURL(view.url);
  view.url = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  const picture = byId("picture");
  picture.src = view.url;
  picture.alt = words("title");
  picture.hidden = false;
  byId("picture-large").src = view.url;
  byId("picture-large").alt = words("title");
  setText(byId("picture-words"), words("desc"));
  const save = byId("picture-save");
  save.href = view.url;
  save.download = `${asked.kind.replace("_", "-")}-${asked.at.slice(0, 16).replaceAll(/[-:]/g, "").replace("T", "-")}.svg`;
  byId("picture-tools").hidden = false;
  markFresh();
}

function markStale() {
  const asked = wish();
  if (!asked) return;
  const old = JSON.stringify(asked) !== view.shown;
  byId("picture-figure").classList.toggle("stale", old && view.shown !== null);
  byId("picture-figure").setAttribute("aria-busy", String(old));
  byId("picture-stale").hidden = !old;
  setText(byId("picture-stale"), view.shown ? "Being drawn anew: old until then." : "Being drawn.");
  if (old) (asked.kind === "through" ? askSoon : askLater)();
}

// ---- what can be chosen ----

function fillChoices() {
  const { ground } = state;
  if (!ground) return;
  const cameras = byId("picture-camera");
  cameras.replaceChildren(...ground.cameras.map((camera, k) => option(camera.name, String(k), k === state.camera)));
  const places = byId("picture-place");
  const before = places.value;
  const names = [...ground.cameras.map((one) => one.name), ...ground.marks.map((one) => one.name)];
  places.replaceChildren(...[...new Set([CENTRE, ...names])].map((name) => option(name, name, name === before)));
}

function showChoices() {
  const kind = byId("picture-kind").value;
  byId("picture-camera").parentElement.hidden = kind !== "through";
  byId("picture-place").parentElement.hidden = kind !== "look_up";
  showThrough(kind === "through");
  const whole = { look_up: "All day", matching: "All of the match, clear sky" };
  setText(byId("picture-at"), whole[kind] ?? `At ${clockText(state.minute)}, clear sky`);
}

export function startPictures() {
  byId("picture-kind").append(...Object.entries(KINDS).map(([kind, words]) => option(words, kind)));
  byId("picture-kind").addEventListener("change", () => {
    showChoices();
    markStale();
  });
  byId("picture-camera").addEventListener("change", ({ target }) => chooseCamera(Number(target.value)));
  byId("picture-place").addEventListener("change", () => {
    const camera = state.ground.cameras.find((one) => one.name === byId("picture-place").value);
    if (camera) choose(camera.table);
    markStale();
  });
  const dialog = byId("picture-dialog");
  byId("picture-enlarge").addEventListener("click", () => dialog.showModal());
  dialog.append(make("div", { class: "row" }, button("Close", () => dialog.close())));
  startThrough(markStale);
  showChoices();
  on("ground", fillChoices);
  on("choice", () => {
    byId("picture-camera").value = String(state.camera);
  });
  on("ground time choice tab stale", () => {
    showChoices();
    markStale();
  });
}
