// What can be dragged of the chosen thing. In: its table and its numbers. Out: handles, each with
// a point in field axes (metres) and the numbers that a movement gives. Draws nothing.

import { allDimensions, dimension, isShared, nameOf, parts, plain, state, valueAt } from "./state.js";

const SNAP_M = 0.1; // a drag ends on a tenth of a metre; fields take any number
const SNAP_DEG = 0.5;

// Outward and along-the-side directions of each side, as the venue file counts them.
const SIDES = {
  ahead: { out: [1, 0], shift: [0, 1] },
  behind: { out: [-1, 0], shift: [0, 1] },
  left: { out: [0, 1], shift: [1, 0] },
  right: { out: [0, -1], shift: [1, 0] },
};

const dot = (a, b) => a[0] * b[0] + a[1] * b[1];
const plus = (a, b, times = 1) => [a[0] + b[0] * times, a[1] + b[1] * times];

export function boundsOf(points) {
  const [xs, ys] = [0, 1].map((axis) => points.map((point) => point[axis]));
  return { min: [Math.min(...xs), Math.min(...ys)], max: [Math.max(...xs), Math.max(...ys)] };
}

export function sideOf(table) {
  const stated = valueAt(`${table}.side`);
  if (SIDES[stated]) return stated;
  const stand = state.ground.stands.find((one) => one.table === table);
  if (!stand) return null;
  const { min, max } = boundsOf(stand.outline);
  const field = boundsOf(state.ground.outline);
  if (min[0] >= field.max[0]) return "ahead";
  if (max[0] <= field.min[0]) return "behind";
  return min[1] >= field.max[1] ? "left" : "right";
}

// A number that is moved by `by` and kept inside its limits, snapped; nothing where it stays,
// so that the file gets no line that says what held anyway.
export function moved(address, by, snap = SNAP_M) {
  const one = dimension(address);
  if (!one) return null;
  if (by === 0) return null;
  const wish = Math.round((one.value + by) / snap) * snap;
  const value = Math.min(one.max ?? Infinity, Math.max(one.min ?? -Infinity, wish));
  const shown = Number(value.toFixed(4));
  return shown === one.value ? null : { address: one.address, value: shown };
}

export const sure = (list) => list.filter((one) => one !== null);

// ---- one function for each kind of table; `d` is the movement in field axes ----

function standHandles(table) {
  const side = sideOf(table);
  const value = (key) => dimension(`${table}.${key}`)?.value;
  if (!side || value("setback_m") === undefined) return [];
  const { out, shift } = SIDES[side];
  const field = boundsOf(state.ground.outline);
  const reach = dot(out, out[0] + out[1] > 0 ? field.max : field.min);
  const centre = [0, 1].map((axis) => ((field.min[axis] + field.max[axis]) / 2) * Math.abs(shift[axis]));
  const front = plus(plus(centre, out, reach + value("setback_m")), shift, value("shift_m") ?? 0);
  const middle = plus(front, out, value("depth_m") / 2);
  const end = (way) => ({
    id: `end${way}`,
    shape: "edge",
    label: `End of ${nameOf(table)}, length`,
    at: plus(middle, shift, (way * value("length_m")) / 2),
    set: (d) => sure([
      moved(`${table}.length_m`, way * dot(d, shift)),
      moved(`${table}.shift_m`, dot(d, shift) / 2, SNAP_M / 2),
    ]),
  });
  const handles = [
    {
      id: "body",
      shape: "move",
      label: `Move ${nameOf(table)}: setback and shift`,
      at: middle,
      set: (d) => sure([moved(`${table}.setback_m`, dot(d, out)), moved(`${table}.shift_m`, dot(d, shift))]),
    },
    end(1),
    end(-1),
    {
      id: "back",
      shape: "edge",
      label: `Back of ${nameOf(table)}, depth`,
      at: plus(front, out, value("depth_m")),
      set: (d) => sure([moved(`${table}.depth_m`, dot(d, out))]),
    },
  ];
  const overhang = value("roof.overhang_m");
  if (overhang !== undefined) {
    handles.push({
      id: "roof",
      shape: "roof",
      label: `Front edge of the roof of ${nameOf(table)}, overhang`,
      at: plus(plus(front, out, -overhang), shift, value("length_m") / 4),
      set: (d) => sure([moved(`${table}.roof.overhang_m`, -dot(d, out))]),
    });
  }
  return handles;
}

function bowlHandles(table) {
  const value = (key) => dimension(`${table}.${key}`)?.value ?? 0;
  const one = (id, label, key, at, way) => ({
    id, label, at, shape: "edge", set: (d) => sure([moved(`${table}.${key}`, dot(d, way))]),
  });
  const [along, across] = [value("inner_along_m"), value("inner_across_m")];
  return [
    one("along", `Front row of ${nameOf(table)} along`, "inner_along_m", [along, 0], [1, 0]),
    one("across", `Front row of ${nameOf(table)} across`, "inner_across_m", [0, across], [0, 1]),
    one("depth", `Back of ${nameOf(table)}, depth`, "depth_m", [along + value("depth_m"), 0], [1, 0]),
  ];
}

// Points that the file lists: corners of solids and panels, ends of gantries, single places.
function pointHandles(table) {
  const found = new Map(); // address of the point -> its first two numbers
  const prefix = `${plain(table)}.`;
  for (const one of allDimensions()) {
    const path = plain(one.address);
    const match = path.startsWith(prefix) && /^(.*)\.(\d+)$/.exec(path);
    if (!match || Number(match[2]) > 1) continue;
    if (!found.has(match[1])) found.set(match[1], []);
    found.get(match[1])[Number(match[2])] = one;
  }
  const points = [...found].filter(([, pair]) => pair[0] && pair[1]);
  const by = (pair, d) => sure([moved(pair[0].address, d[0]), moved(pair[1].address, d[1])]);
  const handles = points.map(([path, pair], k) => {
    const key = parts(path).at(-1);
    const word = /^\d+$/.test(key) ? `corner ${Number(key) + 1}` : key === "at" || key === "centre" ? "place" : `end \`${key}\``;
    return {
      id: `point${k}`,
      shape: points.length > 1 ? "edge" : "move",
      label: `${nameOf(table)}, ${word}`,
      at: [pair[0].value, pair[1].value],
      set: (d) => by(pair, d),
    };
  });
  if (points.length > 1) {
    const at = [0, 1].map((axis) => points.reduce((sum, [, pair]) => sum + pair[axis].value, 0) / points.length);
    const all = (d) => points.flatMap(([, pair]) => by(pair, d));
    handles.unshift({ id: "body", shape: "move", label: `Move ${nameOf(table)}`, at, set: all });
  }
  return handles;
}

// A zone is no measured thing: its corners are drawn, and moved as whole points.
function zoneHandles(table) {
  const corners = valueAt(`${table}.corners`);
  if (!Array.isArray(corners) || !corners.length) return [];
  const name = nameOf(table);
  const put = (point, d) => plus(point, d).map((value) => Number((Math.round(value / SNAP_M) * SNAP_M).toFixed(2)));
  const each = corners.map((at, k) => ({
    id: `point${k}`,
    shape: "edge",
    label: `${name}, corner ${k + 1}`,
    at,
    corners: (d) => corners.map((point, i) => (i === k ? put(point, d) : point)),
  }));
  const middle = [0, 1].map((axis) => corners.reduce((sum, point) => sum + point[axis], 0) / corners.length);
  const all = (d) => {
    const by = put([0, 0], d); // the shape stays as it is
    return corners.map((point) => plus(point, by).map((value) => Number(value.toFixed(4))));
  };
  return [{ id: "body", shape: "move", label: `Move ${name}`, at: middle, corners: all }, ...each];
}

function radiusHandle(table, key, at) {
  const radius = dimension(`${table}.${key}`);
  if (!radius || !at) return [];
  return [{
    id: "radius",
    shape: "edge",
    label: `Radius of ${nameOf(table)}`,
    at: plus(at, [radius.value, 0]),
    set: (d) => sure([moved(`${table}.${key}`, d[0])]),
  }];
}

function gantryDirection(name) {
  const tables = state.ground.values?.gantry ?? [];
  const gantry = tables.find((one) => one.name === name);
  if (!gantry) return null;
  const way = [gantry.to[0] - gantry.from[0], gantry.to[1] - gantry.from[1]];
  const long = Math.hypot(gantry.to[0] - gantry.from[0], gantry.to[1] - gantry.from[1], gantry.to[2] - gantry.from[2]);
  return long > 0 ? [way[0] / long, way[1] / long] : null;
}

function cameraHandles(table) {
  const camera = state.ground.cameras.find((one) => one.table === table);
  if (!camera) return [];
  const handles = pointHandles(table);
  const way = gantryDirection(valueAt(`${table}.gantry`));
  if (dimension(`${table}.offset_m`) && way) {
    handles.push({
      id: "offset",
      shape: "move",
      label: `${camera.name}, along its gantry`,
      at: camera.at.slice(0, 2),
      set: (d) => sure([moved(`${table}.offset_m`, dot(d, way))]),
    });
  }
  if (camera.aim) {
    handles.push({
      id: "aim",
      shape: "aim",
      label: `Aim of ${camera.name}`,
      at: camera.aim,
      aim: (d) => plus(camera.aim, d).map((value) => Math.round(value / SNAP_M) * SNAP_M).map((value) => Number(value.toFixed(2))),
    });
  }
  return handles;
}

// North as seen on the plan: dragging it turns the ground under the sky.
function fieldHandles() {
  const { min, max } = boundsOf(state.ground.outline);
  const far = Math.min(max[0] - min[0], max[1] - min[1]) * 0.36;
  const north = (state.ground.north_deg * Math.PI) / 180;
  const at = [far * Math.cos(north), -far * Math.sin(north)];
  const handles = [];
  if (dimension("field.bearing_deg")) {
    handles.push({ id: "north", shape: "north", label: "North: turns the bearing of the field", at, centre: [0, 0], set: (d) => turned(at, d) });
  }
  for (const [id, key, axis] of [["long", "length_m", 0], ["wide", "width_m", 1]]) {
    if (!dimension(`field.${key}`)) continue;
    const point = axis === 0 ? [max[0], 0] : [0, max[1]];
    handles.push({
      id,
      shape: "edge",
      label: axis === 0 ? "Length of the field of play" : "Width of the field of play",
      at: point,
      set: (d) => sure([moved(`field.${key}`, 2 * d[axis])]),
    });
  }
  return [...handles, ...pointHandles("field").filter((one) => one.id !== "body")]; // corners of a free outline
}

function turned(at, d) {
  const angle = (point) => (-Math.atan2(point[1], point[0]) * 180) / Math.PI;
  const by = angle(plus(at, d)) - angle(at);
  const one = dimension("field.bearing_deg");
  const bearing = Math.round((one.value - by) / SNAP_DEG) * SNAP_DEG;
  return [{ address: one.address, value: Number((((bearing % 360) + 360) % 360).toFixed(2)) }];
}

export function handlesOf(table) {
  if (!state.ground || isShared(table)) return [];
  const kind = parts(table)[0];
  if (kind === "field" || kind === "place") return fieldHandles();
  if (kind === "stand") return standHandles(table);
  if (kind === "bowl") return bowlHandles(table);
  if (kind === "camera") return cameraHandles(table);
  if (kind === "zone") return zoneHandles(table);
  const handles = pointHandles(table);
  if (kind === "solid") handles.push(...radiusHandle(table, "radius_m", valueAt(`${table}.centre`)));
  if (kind === "tree") handles.push(...radiusHandle(table, "crown_radius_m", valueAt(`${table}.at`)));
  return handles;
}
