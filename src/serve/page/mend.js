// A venue file that does not read: its text, and all that is wrong with it. In: what the server
// says of it. Out: a text that reads, and then the ground.

import { Refusal, post } from "./api.js";
import { announce, byId, setText } from "./dom.js";
import { takeGround } from "./exchange.js";
import { showStart } from "./newground.js";
import { on, state } from "./state.js";
import { problemItem } from "./text.js";

function list(problems) {
  byId("mend-problems").replaceChildren(...problems.map((problem) => problemItem(problem, byId("mend-text"))));
}

function showMend({ broken, problems }) {
  for (const id of ["start", "work", "time-bar"]) byId(id).hidden = true;
  for (const id of ["undo", "redo", "units", "other-ground"]) byId(id).hidden = true;
  byId("mend").hidden = false;
  setText(byId("title"), broken.file);
  setText(byId("heading"), "not a ground yet: its text has mistakes");
  byId("mend-text").value = broken.text;
  list(problems);
}

async function take() {
  setText(byId("mend-note"), "");
  try {
    const ground = await post("/api/mend", { text: byId("mend-text").value });
    takeGround(ground);
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    list(refusal.problems);
    setText(byId("mend-note"), "The text does not read yet. Nothing was written.");
    announce(`${refusal.problems.length} problems are left.`);
  }
}

export function startMend() {
  on("broken", () => showMend(state.broken));
  byId("mend-take").addEventListener("click", take);
  byId("mend-leave").addEventListener("click", () => {
    byId("mend").hidden = true;
    showStart(true);
  });
  on("ground", () => {
    if (byId("mend").hidden || !state.ground) return;
    byId("mend").hidden = true; // mended here, or by another program
    showStart(false);
  });
}
