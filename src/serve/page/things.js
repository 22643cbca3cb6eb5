// The list of all that a ground holds, to choose from. In: the ground. Out: a choice.

import { byId, make, option } from "./dom.js";
import { choose } from "./planview.js";
import { isShared, nameOf, on, ownerOf, parts, plain, state } from "./state.js";

const GROUPS = [
  ["The ground", ["field", "place", "fixture", "horizon", "air", "hole"]],
  ["Stands", ["stand", "bowl", "grandstand", "corner"]],
  ["Cameras", ["camera", "gantry", "candidate", "operator"]],
  ["Other things", ["solid", "tree", "panel", "mesh", "moving", "move", "zone", "moment"]],
  ["Light and exposure", ["floodlights", "exposure", "subject"]],
  ["Of the whole site", []],
  ["Of other fields", []],
];
const SINGLE = {
  field: "Field of play", place: "Place and zone", fixture: "Fixture", horizon: "Skyline", air: "Air", hole: "Hole",
  floodlights: "Floodlights", exposure: "Exposure", subject: "Subject",
};

// [{ table, name, group }] in the order of the list.
export function things() {
  const { values, stands, cameras, dimensions } = state.ground;
  const found = [];
  for (const [group, kinds] of GROUPS) {
    for (const kind of kinds) {
      const inner = values?.[kind];
      if (Array.isArray(inner)) inner.forEach((table, k) => found.push({ group, table: `${kind}[${k}]`, name: table.name ?? nameFor(kind, table, k) }));
      else if (inner || kind === "field" || kind === "place") found.push({ group, table: kind, name: SINGLE[kind] });
      else if (!values) found.push(...withoutValues(kind, { stands, cameras, dimensions }).map((one) => ({ ...one, group })));
    }
  }
  if (/^\s*\[(field\.)?relief\]/m.test(state.ground.text)) found.push({ group: "The ground", table: "shared.relief", name: "Heights of the ground" });
  for (const { table, name } of [...stands, ...cameras].filter((one) => isShared(one.table))) {
    found.push({ group: ownerOf(name).field === null ? "Of the whole site" : "Of other fields", table, name });
  }
  return found;
}

function nameFor(kind, table, k) {
  if (kind === "move") return `${table.what}: ${table.to} at ${table.at}`;
  return kind === "corner" && table.joins ? `${table.joins[0]} to ${table.joins[1]}` : `${kind} ${k + 1}`;
}

function withoutValues(kind, { stands, cameras, dimensions }) {
  const shown = [...stands, ...cameras].filter((one) => parts(one.table)[0] === kind);
  if (shown.length) return shown.map(({ table, name }) => ({ table, name }));
  const tables = new Set(dimensions.map((one) => plain(one.address).split(".")).filter((path) => path[0] === kind && path.length > 2).map((path) => path[1]));
  return [...tables].map((name) => ({ table: `${kind}[${name}]`, name: nameOf(`${kind}[${name}]`) }));
}

function show() {
  if (!state.ground) return;
  const all = things();
  if (!all.some((one) => one.table === state.choice)) state.choice = "field";
  const groups = GROUPS.map(([label]) => {
    const inside = all.filter((one) => one.group === label);
    return inside.length ? make("optgroup", { label }, ...inside.map((one) => option(one.name, one.table, one.table === state.choice))) : null;
  });
  byId("things").replaceChildren(...groups.filter(Boolean));
}

export function startThings() {
  on("ground", show);
  on("choice", () => {
    byId("things").value = state.choice;
  });
  byId("things").addEventListener("change", (event) => choose(event.target.value));
}
