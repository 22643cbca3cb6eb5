// What was changed, and two states side by side. In: the list of changes, a state that was kept.
// Out: undo, redo, the differences in words and figures, two plans at the same time.

import { button, byId, make, oncePerFrame, setText } from "./dom.js";
import { redo, shadowWith, undo } from "./exchange.js";
import { newestWins } from "./api.js";
import { drawPlan, fitCanvas, frameFor } from "./plan.js";
import { allDimensions, atText, clockText, nameOf, on, parts, plain, state } from "./state.js";
import { ink } from "./theme.js";
import { told, wordsOf } from "./units.js";

const PAIR_PX = 210;

function showList() {
  const { ground } = state;
  if (!ground) return;
  for (const [id, may] of [["undo", ground.can_undo], ["redo", ground.can_redo]]) {
    byId(id).setAttribute("aria-disabled", String(!may)); // it keeps the focus when there is nothing left
  }
  const lines = [...(ground.history ?? [])].reverse();
  byId("history-list").replaceChildren(...lines.map((line) => make("li", { text: line })));
  byId("history-none").hidden = lines.length > 0;
}

// ---- side by side ----

function keep() {
  const { ground } = state;
  state.kept = {
    revision: ground.revision,
    stands: ground.stands,
    tables: ground.stands.map((one) => one.table + one.name).join(),
    numbers: new Map(allDimensions().map((one) => [plain(one.address), one])),
    ground,
    shadow: state.shadow,
    instant: state.stale.instant ? null : state.instant,
    at: atText(),
    clock: clockText(state.minute),
    instantAt: atText(),
  };
  compare();
}

// Every value of the file by its path, for what is no length or angle: a start, a lens, a side.
function leaves(values, path = "", found = new Map()) {
  if (values === null || typeof values !== "object") return found.set(path, values);
  for (const [key, inner] of Object.entries(values)) leaves(inner, path ? `${path}.${key}` : key, found);
  return found;
}

function otherDifferences() {
  const [before, now] = [state.kept.ground, state.ground].map((ground) => leaves(ground.values ?? {}));
  const paths = [...new Set([...before.keys(), ...now.keys()])];
  const said = (value) => (value === undefined ? "not stated" : String(value).replaceAll("_", " "));
  return paths.filter((path) => before.get(path) !== now.get(path) && !state.kept.numbers.has(path))
    .map((path) => `${nameOfPath(path)}: ${said(before.get(path))} to ${said(now.get(path))}`);
}

function nameOfPath(path) {
  const [kind, index, ...key] = parts(path);
  const table = /^\d+$/.test(index ?? "") ? `${kind}[${index}]` : kind;
  const keys = (table === kind ? [index, ...key] : key).filter(Boolean);
  return [nameOf(table), ...keys.map((part) => wordsOf(part).toLowerCase())].join(", ");
}

// The numbers that differ, as [{ address, kept, now, unit }].
function differences() {
  const { kept } = state;
  return allDimensions().flatMap((one) => {
    const before = kept.numbers.get(plain(one.address));
    if (!before || before.value === one.value) return [];
    return [{ address: one.address, kept: before.value, now: one.value, unit: one.unit === "deg" ? "\u00b0" : one.unit === "m" ? "m" : "" }];
  });
}

function words({ address, kept, now, unit }) {
  return `${nameOfPath(plain(address))}: ${told(kept, unit, state.units)} to ${told(now, unit, state.units)}`;
}

// The kept state's shadow at another time: its numbers, tried on the ground as it is now.
const askKept = newestWins(async () => {
  const { kept } = state;
  if (!kept || kept.at === atText() || !sameTables()) return;
  const asked = atText();
  try {
    const set = differences().map(({ address, kept: value }) => ({ address, value }));
    kept.shadow = set.length ? (await shadowWith(set)).shadow : state.shadow;
    kept.at = asked;
    kept.clock = asked.slice(11, 16);
  } catch {
    // It stays as it was, with its own time beside it.
  }
  paintPair();
});

function sameTables() {
  return state.ground.stands.map((one) => one.table + one.name).join() === state.kept?.tables;
}

function compare() {
  const { kept } = state;
  byId("compare").hidden = !kept;
  setText(byId("keep"), kept ? "Keep this state instead" : "Keep this state to compare");
  if (!kept) return;
  const list = [...differences().map(words), ...(sameTables() ? otherDifferences() : [])];
  if (!sameTables()) list.push("Things were added, removed or renamed: the kept plan stays at the time when it was kept.");
  byId("difference-list").replaceChildren(...list.map((line) => make("li", { text: line })));
  if (!list.length) byId("difference-list").append(make("li", { text: "No number differs." }));
  paintPair();
  askKept();
}

function caption(shadow, clock) {
  if (!shadow) return clock;
  const share = shadow.sun.up ? `${(shadow.shaded_share * 100).toFixed(1)} % in shade` : "no sun";
  return `${clock}, ${share}`;
}

function paintPair() {
  const { kept, ground } = state;
  if (!kept || byId("panel-history").hidden) return;
  const one = (id, scene, text) => {
    const canvas = byId(id);
    const width = canvas.parentElement.clientWidth;
    const pen = fitCanvas(canvas, width, PAIR_PX);
    const points = [ground.surrounds, ...scene.stands.map((stand) => stand.outline)].flat();
    drawPlan(pen, frameFor(points, width, PAIR_PX, { margin: 8 }), { cameras: [], camera: -1, chosen: null, ghost: null, ...scene }, ink);
    setText(byId(`${id}-words`), text);
    canvas.setAttribute("aria-label", text);
  };
  one("pair-kept", { ground: kept.ground, stands: kept.stands, shadow: kept.shadow }, `Kept: ${caption(kept.shadow, kept.clock)}`);
  one("pair-now", { ground, stands: ground.stands, shadow: state.shadow }, `Now: ${caption(state.shadow, clockText(state.minute))}`);
  showSplits();
}

// Splits of both, where both were worked out for the same time.
function showSplits() {
  const { kept, instant } = state;
  const list = byId("split-differences");
  const both = kept.instant && instant && !state.stale.instant && kept.instantAt === atText();
  list.replaceChildren();
  if (!both) return;
  for (const camera of instant.cameras) {
    const before = kept.instant.cameras.find((one) => one.name === camera.name);
    if (!before?.split_stops || !camera.split_stops) continue;
    const [then, now] = [before, camera].map((one) => one.split_stops.value.toFixed(1));
    if (then === now) continue;
    const text = `${camera.name}: split on ${state.plan?.field?.surface ?? "turf"} ${then} stops, now ${now} stops`;
    list.append(make("li", { text }));
  }
}

export function startHistory() {
  byId("undo").addEventListener("click", () => undo());
  byId("redo").addEventListener("click", () => redo());
  byId("keep").addEventListener("click", keep);
  byId("compare").append(button("End the comparison", () => {
    state.kept = null;
    compare();
    byId("keep").focus();
  }, { class: "quiet" }));
  on("ground", showList);
  on("ground units", compare);
  const paint = oncePerFrame(paintPair);
  on("shadow instant theme tab", paint);
  on("time", askKept);
  new ResizeObserver(paint).observe(byId("pair"));
}
