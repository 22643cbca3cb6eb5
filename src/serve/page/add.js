// Things to add to a ground, from templates with usual sizes. In: a kind, a name, a side.
// Out: one more table of the venue file, chosen for its numbers to be measured.

import { byId, labelled, make, option, setText } from "./dom.js";
import { addTable } from "./exchange.js";
import { boundsOf, sideOf } from "./handles.js";
import { choose } from "./planview.js";
import { on, state } from "./state.js";

const stand = (name, side, values) => ["stand", { name, side, ...values }];
const half = (axis) => boundsOf(state.ground.outline).max[axis];
// Clear of what is planned beyond the line, such as an in-goal.
const clearOf = (side) => {
  const axis = side === "left" || side === "right" ? 1 : 0;
  return Math.max(6, Math.ceil(boundsOf(state.ground.surrounds).max[axis] - half(axis)));
};
const sideLength = (side) => Math.round(2 * half(side === "left" || side === "right" ? 0 : 1) * 0.9);

// A kind: what it is called, what it asks for, the tables it makes. Sizes are places to begin
// from, common practice, no source; each is measured or changed afterwards.
const KINDS = {
  terrace: {
    words: "Terrace, open", asks: ["side"],
    make: ({ name, side }) => [stand(name, side, { setback_m: clearOf(side), length_m: sideLength(side), depth_m: 12, front_height_m: 1, back_height_m: 7 })],
  },
  covered: {
    words: "Stand with a roof", asks: ["side"],
    make: ({ name, side }) => [stand(name, side, { setback_m: clearOf(side), length_m: sideLength(side), depth_m: 18, front_height_m: 1.2, back_height_m: 11, roof: { front_height_m: 15, back_height_m: 13.5, overhang_m: 0.5, gap_m: 0.8 } })],
  },
  cantilever: {
    words: "Stand with a cantilever roof", asks: ["side"],
    make: ({ name, side }) => [stand(name, side, { setback_m: clearOf(side), length_m: sideLength(side), depth_m: 24, front_height_m: 1.2, back_height_m: 15, roof: { front_height_m: 21, back_height_m: 18, overhang_m: 3, gap_m: 1 } })],
  },
  tiers: {
    words: "Two tiers", asks: ["side"],
    make: ({ name, side }) => [
      stand(`${name}, lower tier`, side, { setback_m: clearOf(side), length_m: sideLength(side), depth_m: 16, front_height_m: 1.2, back_height_m: 9 }),
      stand(`${name}, upper tier`, side, { setback_m: clearOf(side) + 10, length_m: sideLength(side), depth_m: 18, front_height_m: 11, back_height_m: 23, foot: "open", roof: { front_height_m: 30, back_height_m: 26, overhang_m: 6, gap_m: 1 } }),
    ],
  },
  bowl: {
    words: "Bowl", asks: [],
    make: ({ name }) => [["bowl", { name, inner_along_m: Math.round(half(0) + 12), inner_across_m: Math.round(half(1) + 12), roundness: 3, depth_m: 30, front_height_m: 1.5, back_height_m: 18, roof: { front_height_m: 26, back_height_m: 22, overhang_m: 2, gap_m: 1 } }]],
  },
  corner: {
    words: "Corner between two stands", asks: ["joins"],
    make: ({ joins }) => [["corner", { joins }]],
  },
  box: {
    words: "Building or scoreboard", asks: [],
    make: ({ name }) => {
      const [x, y] = [half(0) + 20, half(1) + 10];
      return [["solid", { name, footprint: [[x, y], [x + 10, y], [x + 10, y + 8], [x, y + 8]], top_m: 8 }]];
    },
  },
  mast: {
    words: "Mast", asks: [],
    make: ({ name }) => [["solid", { name, centre: [half(0) + 12, half(1) + 14], radius_m: 0.6, top_m: 35 }]],
  },
  tree: {
    words: "Tree", asks: [],
    make: ({ name }) => [["tree", { name, at: [half(0) * 0.5, -half(1) - 25], trunk_height_m: 3, crown_height_m: 10, crown_radius_m: 4, in_leaf_transmittance: 0.15 }]],
  },
  panel: {
    words: "Sail, board or free roof", asks: [],
    make: ({ name }) => {
      const y = -half(1) - 6;
      return [["panel", { name, corners: [[-5, y, 5], [5, y, 5], [5, y - 6, 6], [-5, y - 6, 6]] }]];
    },
  },
  gantry: {
    words: "Gantry", asks: [],
    make: ({ name }) => [["gantry", { name, from: [-15, half(1) + 10, 12], to: [15, half(1) + 10, 12] }]],
  },
  camera: {
    words: "Camera", asks: ["gantry"],
    make: ({ name, gantry }) => {
      const place = gantry ? { gantry, offset_m: 1 } : { at: [0, Number((-half(1) - 10).toFixed(1)), 6] };
      return [["camera", { name, ...place, aim: [[0, 0]], horizontal_fov_deg: 30 }]];
    },
  },
  zone: {
    words: "Zone on the ground", asks: [],
    make: ({ name }) => [["zone", { name, corners: [[-10, half(1) - 6], [10, half(1) - 6], [10, half(1)], [-10, half(1)]] }]],
  },
};

function taken() {
  const values = Object.values(state.ground.values ?? {}).filter(Array.isArray).flat().map((table) => table.name);
  return new Set([...values, ...state.ground.stands.map((one) => one.name), ...state.ground.cameras.map((one) => one.name)]);
}

function freeName(kind) {
  const stem = KINDS[kind].words.split(/,| with| between| or| on/)[0];
  const names = taken();
  for (let k = 1; ; k += 1) if (!names.has(`${stem} ${k}`)) return `${stem} ${k}`;
}

// Stands on neighbouring sides: one along the field, one at its end.
function areNeighbours(name, other, stands) {
  const alongside = (wanted) => ["left", "right"].includes(sideOf(stands.find((one) => one.name === wanted)?.table ?? ""));
  return alongside(name) !== alongside(other);
}

function showAsks() {
  const kind = byId("add-kind").value;
  const { asks } = KINDS[kind];
  const nodes = [];
  if (kind !== "corner") nodes.push(labelled("Name", make("input", { type: "text", id: "add-name", value: freeName(kind), autocomplete: "off" })));
  if (asks.includes("side")) {
    const used = new Set((state.ground.values?.stand ?? []).map((one) => one.side));
    const free = ["left", "right", "ahead", "behind"].find((side) => !used.has(side));
    const sides = ["left", "right", "ahead", "behind"].map((side) => option(side, side, side === free));
    nodes.push(labelled("Side, for someone who looks along the bearing", make("select", { id: "add-side" }, ...sides)));
  }
  if (asks.includes("joins")) {
    const stands = state.ground.stands.filter((one) => one.kind === "stand");
    const first = make("select", { id: "add-first" }, ...stands.map((one) => option(one.name, one.name)));
    const second = make("select", { id: "add-second" });
    const fill = () => second.replaceChildren(...stands.filter((one) => areNeighbours(first.value, one.name, stands)).map((one) => option(one.name, one.name)));
    first.addEventListener("change", fill);
    fill();
    nodes.push(labelled("One stand", first), labelled("Its neighbour", second));
  }
  const gantries = state.ground?.values?.gantry ?? [];
  if (asks.includes("gantry") && gantries.length) {
    nodes.push(labelled("Stands on", make("select", { id: "add-gantry" }, option("a place of its own", ""), ...gantries.map((one) => option(one.name, one.name)))));
  }
  byId("add-asks").replaceChildren(...nodes);
}

async function add(event) {
  event.preventDefault();
  const kind = byId("add-kind").value;
  const asked = {
    name: byId("add-name")?.value.trim() || freeName(kind),
    side: byId("add-side")?.value,
    gantry: byId("add-gantry")?.value,
    joins: [byId("add-first")?.value, byId("add-second")?.value],
  };
  for (const [table, values] of KINDS[kind].make(asked)) {
    const done = await addTable(table, values, `${values.name ?? "Corner"} added`);
    setText(byId("add-problem"), done ? "" : state.problems.map((one) => one.text).join(" "));
    if (!done) return;
    const count = state.ground.values?.[table]?.length;
    if (count) choose(`${table}[${count - 1}]`);
  }
  byId("add-box").open = false;
  byId("things").focus();
}

export function startAdd() {
  byId("add-kind").append(...Object.entries(KINDS).map(([kind, { words }]) => option(words, kind)));
  byId("add-kind").addEventListener("change", () => {
    byId("add-box").open = true;
    showAsks();
  });
  byId("add-form").addEventListener("submit", add);
  on("ground", () => {
    if (!byId("add-asks").contains(document.activeElement)) showAsks();
  });
}
