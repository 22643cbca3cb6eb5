// What the check of the ground finds, and the questions that it asks people who stand there.
// In: the findings of the ground. Out: sentences, each with the thing it names to choose.

import { button, byId, make, setText } from "./dom.js";
import { choose } from "./planview.js";
import { on, state } from "./state.js";

function named(text) {
  const all = [...state.ground.stands, ...state.ground.cameras];
  return all.filter((one) => text.includes(one.name)).sort((a, b) => b.name.length - a.name.length)[0] ?? null;
}

function item({ text, question }) {
  const node = make("li", {}, make("p", { text }));
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

function show() {
  const findings = state.ground?.findings ?? [];
  byId("finding-list").replaceChildren(...findings.map(item));
  setText(byId("check-count"), findings.length ? String(findings.length) : "");
  byId("no-findings").hidden = findings.length > 0;
}

export function startCheck() {
  on("ground", show);
}
