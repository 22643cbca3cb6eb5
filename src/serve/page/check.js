// What the check of the ground finds, and the questions that it asks people who stand there.
// In: the findings of the ground. Out: sentences, each with the thing it names to choose.

import { get } from "./api.js";
import { button, byId, make, setText } from "./dom.js";
import { choose } from "./planview.js";
import { on, state } from "./state.js";

function named(text) {
  const all = [...state.ground.stands, ...state.ground.cameras];
  return all.filter((one) => text.includes(one.name)).sort((a, b) => b.name.length - a.name.length)[0] ?? null;
}

function item({ text, question, why }) {
  const node = make("li", {}, make("p", { text }));
  if (why) node.append(make("p", { class: "note", text: why }));
  if (question) node.append(make("p", { class: "question", text: question }));
  const thing = named(text);
  if (thing) {
    node.append(button(`Numbers of ${thing.name}`, () => {
      choose(thing.table);
      byId("tab-ground").click();
      byId("things").focus();
    }, { class: "quiet" }));
  }
  return node;
}

let whole = null; // what the whole check found, and of which revision

// The whole check takes a second or more: asked for when it is looked at.
async function askWhole() {
  const { ground } = state;
  if (byId("panel-check").hidden || !ground || whole?.revision === ground.revision) return;
  byId("check-stale").hidden = false;
  try {
    whole = await get("/api/check", { revision: ground.revision });
  } catch {
    return; // the next revision, or the next look, asks again
  }
  show();
}

function show() {
  if (!state.ground) return;
  const fresh = whole?.revision === state.ground.revision;
  const findings = fresh ? whole.findings : state.ground.findings ?? [];
  byId("check-stale").hidden = fresh;
  byId("finding-list").replaceChildren(...findings.map(item));
  setText(byId("check-count"), findings.length ? String(findings.length) : "");
  byId("no-findings").hidden = findings.length > 0;
}

export function startCheck() {
  on("ground", show);
  on("ground tab", askWhole);
}
