// The start of it all: parts, tabs, notices, keys. In: the page and the server. Out: a page at work.

import { startAdd } from "./add.js";
import { Refusal } from "./api.js";
import { startBearing } from "./bearing.js";
import { startBring } from "./bring.js";
import { startCameras } from "./cameras.js";
import { startCheck } from "./check.js";
import { button, byId, make, setText } from "./dom.js";
import { listenToServer, loadGround, loadSchema, redo, undo } from "./exchange.js";
import { showProblems, startFields } from "./fields.js";
import { startForecast } from "./forecast.js";
import { startHistory } from "./history.js";
import { refresh, startJobs } from "./jobs.js";
import { startMend } from "./mend.js";
import { showStart, startNewGround } from "./newground.js";
import { startObserve } from "./observe.js";
import { startPictures } from "./pictures.js";
import { chooseCamera, startPlan } from "./planview.js";
import { startRecce } from "./recce.js";
import { startSection } from "./section.js";
import { emit, on, state } from "./state.js";
import { startText } from "./text.js";
import { startKeys, startTheme } from "./theme.js";
import { startThings } from "./things.js";
import { startTimeline } from "./timeline.js";
import { moveMinutes, startTimes, togglePlay } from "./times.js";

// ---- tabs: one in the order of Tab, arrows between them ----

function startTabs() {
  const tabs = [...document.querySelectorAll("[role=tab]")];
  const select = (tab) => {
    for (const one of tabs) {
      const chosen = one === tab;
      one.setAttribute("aria-selected", String(chosen));
      one.tabIndex = chosen ? 0 : -1;
      byId(one.getAttribute("aria-controls")).hidden = !chosen;
    }
    tab.scrollIntoView({ block: "nearest", inline: "nearest" });
    emit("tab");
  };
  tabs.forEach((tab, k) => {
    tab.addEventListener("click", () => select(tab));
    tab.addEventListener("keydown", (event) => {
      const to = { ArrowRight: k + 1, ArrowLeft: k - 1, Home: 0, End: tabs.length - 1 }[event.key];
      if (to === undefined) return;
      event.preventDefault();
      const next = tabs[(to + tabs.length) % tabs.length];
      next.focus();
      select(next);
    });
  });
  select(tabs[0]);
}

// ---- header and notices ----

function showHeader() {
  const { ground } = state;
  if (!ground || !byId("start").hidden) return;
  setText(byId("title"), ground.title || "Ground without a name");
  document.title = `${ground.title || "Ground"} - Quarterstop`;
  const standing = ground.conflict ? "not saved: two texts" : ground.saved ? "saved" : "being saved";
  setText(byId("heading"), `${ground.file ?? "no file yet"}, ${standing}`);
}

function showNotices() {
  showProblems();
  const box = byId("notices");
  const left = state.otherProblems ?? [];
  const nodes = left.map((problem) => {
    const node = make("p", { text: problem.text });
    if (problem.retry) node.append(" ", button("Do it now", problem.retry));
    return node;
  });
  if (state.ground?.save_problem) nodes.unshift(make("p", { text: `Not saved yet: ${state.ground.save_problem}` }));
  if (!state.connected) nodes.unshift(make("p", { text: "No connection to quarterstop. What is shown may be old; the page tries again by itself." }));
  if (left.length) nodes.push(button("Close", () => {
    state.problems = [];
    showNotices();
  }));
  box.hidden = nodes.length === 0;
  box.replaceChildren(...nodes);
}

// For tests: what the page shows now.
window.liveState = () => ({
  revision: state.ground?.revision ?? null,
  choice: state.choice,
  camera: state.camera,
  date: state.date,
  minute: state.minute,
  stale: { ...state.stale },
  preview: state.preview !== null,
  shaded_share: state.shadow?.shaded_share ?? null,
});

async function start() {
  loadSchema(); // comes beside the ground; until then fields are made of what the ground lists
  startTheme();
  startTabs();
  startThings();
  startFields();
  startSection();
  startBearing();
  startAdd();
  startPlan();
  startTimes();
  startTimeline();
  startCameras();
  startForecast();
  startPictures();
  startCheck();
  startHistory();
  startText();
  startJobs();
  startObserve();
  startNewGround();
  startMend();
  startBring();
  startRecce();
  startKeys({ undo, redo, minutes: moveMinutes, play: togglePlay, camera: chooseCamera });
  on("saved", showHeader);
  on("saved problems connected", showNotices);
  try {
    showStart(!(await loadGround()));
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    if (refusal.broken) {
      state.broken = refusal;
      emit("broken");
    } else showStart(true);
    if (!refusal.broken && ![404, 409].includes(refusal.status)) {
      state.problems = refusal.problems;
      showNotices();
    }
  }
  showHeader();
  refresh();
  listenToServer();
}

start();
