// The venue file as text, with its problems, and the choice when two programs changed it at once.
// In: the text. Out: the same text taken or refused whole; nothing of it is lost.

import { announce, button, byId, make, setText } from "./dom.js";
import { loadGround, takeText } from "./exchange.js";
import { on, state } from "./state.js";

let shownText = ""; // what the text area was filled with

function changed() {
  return byId("text").value !== shownText;
}

// Line ends of a text area are its own, so what it holds is read back.
function show(text) {
  byId("text").value = text;
  shownText = byId("text").value;
}

function fill() {
  if (!state.ground) return;
  const { text } = state.ground;
  const area = byId("text");
  if (!changed() || area.value === text) show(text);
  else setText(byId("text-note"), "The ground was changed meanwhile. Your text below is kept; taking it would put it in the place of that change.");
  showState();
}

function showState() {
  byId("take-text").disabled = !changed();
  byId("drop-text").disabled = !changed();
  if (!changed()) setText(byId("text-note"), "Comments and order are kept. A change takes hold when all of the text is sound.");
}

export function problemItem(problem, area = byId("text")) {
  const words = problem.text;
  if (!problem.line) return make("li", { text: words });
  return make("li", {}, button(`Line ${problem.line}`, () => goTo(area, problem.line), { class: "quiet" }), ` ${words}`);
}

function goTo(area, line) {
  const lines = area.value.split("\n");
  const start = lines.slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0);
  area.focus();
  area.setSelectionRange(start, start + (lines[line - 1]?.length ?? 0));
  area.scrollTop = Math.max(0, (line - 4) * (area.scrollHeight / lines.length));
}

// The line that names a thing, in the table of its field where it has one; or that begins heights.
export function lineOf({ name, field }) {
  let under = null; // the field whose tables these are
  let fresh = false;
  const found = state.ground.text.split("\n").findIndex((line) => {
    if (/^\s*\[\[field\]\]/.test(line)) fresh = true;
    if (name === null) return /^\s*\[(field\.)?relief\]/.test(line);
    const said = /^\s*name\s*=\s*(["'])(.*?)\1/.exec(line)?.[2];
    if (said === undefined) return false;
    if (fresh) {
      under = said;
      fresh = false;
      return false;
    }
    return said === name && under === field;
  });
  return found < 0 ? null : found + 1;
}

export function goToText(line) {
  byId("tab-text").click();
  goTo(byId("text"), line);
}

async function take() {
  const text = byId("text").value;
  shownText = text; // so that the answer fills it anew
  const taken = await takeText(text);
  if (taken) {
    byId("text-problems").replaceChildren();
    show(state.ground.text);
  } else {
    shownText = state.ground.text;
    byId("text-problems").replaceChildren(...state.problems.map((problem) => problemItem(problem)));
    announce(`The text is not taken: ${state.problems.length} problems.`);
  }
  showState();
}

function drop() {
  show(state.ground.text);
  byId("text-problems").replaceChildren();
  showState();
}

// ---- two programs at once ----

let putOff = null; // the text on the disc that is to be decided on later

function showConflict() {
  const dialog = byId("conflict-dialog");
  const conflict = state.ground?.conflict ?? null;
  byId("conflict-open").hidden = !conflict;
  if (!conflict) {
    putOff = null;
    return dialog.close();
  }
  if (dialog.open || conflict.text_on_disk === putOff) return;
  byId("conflict-disk").value = conflict.text_on_disk;
  byId("conflict-page").value = state.ground.text;
  const problems = conflict.problems ?? [];
  setText(byId("conflict-words"), problems.length
    ? "Its text cannot be read as a ground, so the page has not taken it. Nothing is lost: both texts are here and can be mended."
    : "Changes of this page were not written yet when that happened. Nothing is lost: both texts are here.");
  byId("conflict-problems").replaceChildren(...problems.map((problem) => problemItem(problem, byId("conflict-disk"))));
  dialog.showModal();
}

function decideLater() {
  putOff = state.ground?.conflict?.text_on_disk ?? null;
  byId("conflict-dialog").close();
}

async function settle(text) {
  const taken = await takeText(text);
  byId("conflict-note").textContent = taken ? "" : state.problems.map((problem) => problem.text).join(" ");
  if (!taken) return;
  byId("conflict-dialog").close();
  await loadGround().catch(() => {});
}

export function startText() {
  byId("text").addEventListener("input", showState);
  byId("take-text").addEventListener("click", take);
  byId("drop-text").addEventListener("click", drop);
  byId("conflict-take-disk").addEventListener("click", () => settle(byId("conflict-disk").value));
  byId("conflict-keep-page").addEventListener("click", () => settle(byId("conflict-page").value));
  byId("conflict-later").addEventListener("click", decideLater);
  byId("conflict-dialog").addEventListener("cancel", decideLater);
  byId("conflict-open").addEventListener("click", () => {
    putOff = null;
    showConflict();
  });
  on("ground", fill);
  on("saved", showConflict);
  window.addEventListener("beforeunload", (event) => {
    if (state.ground && changed()) event.preventDefault();
  });
}
