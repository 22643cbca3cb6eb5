// Day and night colours, and the keys of the whole page. In: choices. Out: colours as the style
// sheet has them, for what is drawn.

import { button, byId, make, recall, remember, setText } from "./dom.js";
import { inkOf } from "./paint.js";
import { emit, state } from "./state.js";

export let ink = {};

function setTheme(theme) {
  document.documentElement.dataset.theme = theme;
  setText(byId("theme"), theme === "night" ? "Day" : "Night");
  byId("theme").setAttribute("aria-label", theme === "night" ? "Day colours" : "Night colours");
  ink = inkOf(document.documentElement);
  emit("theme");
}

export function flipTheme() {
  const theme = document.documentElement.dataset.theme === "night" ? "day" : "night";
  remember("theme", theme);
  setTheme(theme);
}

function firstTheme() {
  const kept = recall("theme");
  if (kept === "day" || kept === "night") return kept;
  return matchMedia("(prefers-color-scheme: dark)").matches ? "night" : "day";
}

function setUnits(units) {
  state.units = units;
  setText(byId("units"), units === "ft" ? "Metres" : "Feet");
  byId("units").setAttribute("aria-label", units === "ft" ? "Use metres" : "Use feet and inches");
  emit("units");
}

// Paper is white: day colours, drawn before the printer looks.
function startPrinting() {
  let before = null;
  window.addEventListener("beforeprint", () => {
    before = document.documentElement.dataset.theme;
    setTheme("day");
    emit("print");
  });
  window.addEventListener("afterprint", () => {
    if (before) setTheme(before);
    before = null;
  });
}

export function startTheme() {
  setTheme(firstTheme());
  startPrinting();
  byId("theme").addEventListener("click", flipTheme);
  setUnits(recall("units") === "ft" ? "ft" : "m");
  byId("units").addEventListener("click", () => {
    const units = state.units === "ft" ? "m" : "ft";
    remember("units", units);
    setUnits(units);
  });
}

// ---- keys ----

const KEYS = [
  ["Ctrl Z", "undo (Ctrl Shift Z: redo)"],
  ["[ ]", "one minute back or on (with Shift: ten)"],
  ["P", "play or pause"],
  ["1 to 9", "choose a camera"],
  ["D", "day or night colours"],
  ["?", "this list"],
  ["Arrows", "on a handle: move it by 0.1 m (with Shift: 1 m)"],
  ["Escape", "on a handle or in a field: take it back"],
];

function typing(target) {
  return target.matches("textarea, select, input:not([type=range]):not([type=checkbox]):not([type=radio])");
}

// `acts`: { undo, redo, minutes(n), play, camera(k) }
export function startKeys(acts) {
  const dialog = byId("keys-dialog");
  for (const [keys, words] of KEYS) byId("key-list").append(make("dt", { text: keys }), make("dd", { text: words }));
  byId("keys").addEventListener("click", () => dialog.showModal());
  dialog.append(button("Close", () => dialog.close()));
  document.addEventListener("keydown", (event) => {
    if (document.querySelector("dialog[open]") || event.altKey) return;
    if (typing(event.target)) return; // a field has its own undo
    if ((event.ctrlKey || event.metaKey) ? actOnControl(event, acts) : actOnKey(event, acts, dialog)) event.preventDefault();
  });
}

function actOnControl(event, acts) {
  const key = event.key.toLowerCase();
  if (key === "z") (event.shiftKey ? acts.redo : acts.undo)();
  else if (key === "y") acts.redo();
  else return false;
  return true;
}

function actOnKey(event, acts, dialog) {
  if (!byId("keys-on").checked) return false;
  const { key, shiftKey } = event;
  if (key === "]" || key === "}") acts.minutes(shiftKey ? 10 : 1);
  else if (key === "[" || key === "{") acts.minutes(shiftKey ? -10 : -1);
  else if (key === "p" || key === "P") acts.play();
  else if (key >= "1" && key <= "9") acts.camera(Number(key) - 1);
  else if (key === "d" || key === "D") flipTheme();
  else if (key === "?") dialog.showModal();
  else return false;
  return true;
}
