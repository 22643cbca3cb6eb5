// What a table of the venue file may hold, in the order in which people measure it. In: the
// table, the schema where there is one, else the numbers that the ground lists. Out: fields.

import { allDimensions, dimension, parts, plain, state, valueAt } from "./state.js";
import { unitOf } from "./units.js";

const SYMBOLS = { m: "m", deg: "\u00b0", s: "s", 1: "" };

function resolved(node) {
  const name = node?.$ref?.split("/").at(-1);
  return name ? { ...state.schema.$defs[name], ...(node.description ? { description: node.description } : {}) } : node;
}

function schemaOf(table) {
  if (!state.schema) return null;
  const node = resolved(state.schema.properties?.[parts(table)[0]]);
  return node?.type === "array" ? resolved(node.items) : node;
}

function choicesOf(node) {
  return node.enum ?? node.oneOf?.flatMap((one) => one.enum ?? [one.const]) ?? null;
}

// [{ address, key, kind, ... }] of a table; groups for its inner tables (roof, exposure).
export function fieldsOf(table) {
  const schema = schemaOf(table);
  return schema ? fromSchema(table, schema) : fromDimensions(table);
}

function fromDimensions(table) {
  const prefix = `${plain(table)}.`;
  return allDimensions().filter((one) => plain(one.address).startsWith(prefix)).map((one) => numberField(one.address, {}));
}

// As a person measures: where it is, how large, how high, what it is made of.
const ORDER = ["name", "sport", "side", "setback_m", "shift_m", "inner_along_m", "inner_across_m", "length_m", "width_m", "depth_m",
  "bearing_deg", "north", "declination_deg", "latitude_deg", "longitude_deg", "height_m", "zone", "date", "start",
  "front_height_m", "back_height_m", "overhang_m", "gap_m", "roof", "closed_ends", "foot",
  "at", "gantry", "offset_m", "looks_at", "aim", "horizontal_fov_deg", "focal_length_mm", "image_width_mm",
  "centre", "radius_m", "from", "to", "footprint", "corners", "bottom_m", "top_m",
  "trunk_height_m", "crown_height_m", "crown_radius_m", "transmittance", "in_leaf_transmittance"];

function rank(key) {
  const place = ORDER.indexOf(key);
  return place < 0 ? ORDER.length : place;
}

function fromSchema(table, schema) {
  const keys = Object.keys(schema.properties ?? {}).sort((a, b) => rank(a) - rank(b));
  return keys.flatMap((key) => fieldFor(`${table}.${key}`, key, resolved(schema.properties[key]), schema));
}

function fieldFor(address, key, node, schema) {
  const help = (node.description ?? "").replace(/\s+/g, " ").replaceAll("`", "");
  const must = (schema.required ?? []).includes(key);
  const value = valueAt(address);
  const base = { address, key, help, must, value };
  if (node.type === "number" || node.type === "integer") return [numberField(address, { ...base, node })];
  if (choicesOf(node)) return [{ ...base, kind: "choice", choices: choicesOf(node) }];
  const names = namesFor(address, key);
  if (names.length) return [{ ...base, kind: "choice", choices: names }];
  if (node.type === "string") return [{ ...base, kind: "text" }];
  if (node.type === "object") return [groupField(base, node)];
  const items = resolved(node.items ?? {});
  if (items.type === "string") return [{ ...base, kind: "names" }];
  if (items.type === "number" && (node.minItems || value)) return [pointField(base, node)];
  if (items.type === "array") return [{ ...base, kind: "points", width: items.maxItems ?? 2 }];
  return [];
}

// States of what moves, and what moves, by name.
function namesFor(address, key) {
  const [kind, index] = parts(plain(address));
  const moving = state.ground.values?.moving ?? [];
  const names = (tables) => (tables ?? []).map((one) => one.name);
  if (kind === "moving" && key === "usual") return names(moving[index]?.state);
  if (kind === "move" && key === "what") return names(moving);
  if (kind === "move" && key === "to") return names(moving.find((one) => one.name === valueAt(`move[${index}].what`))?.state);
  return [];
}

function numberField(address, { node = {}, ...base }) {
  const one = dimension(address);
  const key = base.key ?? parts(address).at(-1);
  return {
    help: "", ...base, address: one?.address ?? address, key, kind: "number",
    value: base.value ?? (one?.stated === false ? undefined : one?.value),
    usual: one && one.stated === false ? one.value : node.default,
    unit: one ? SYMBOLS[one.unit] ?? one.unit : unitOf(key),
    min: one?.min ?? node.minimum, max: one?.max ?? node.maximum,
    dimension: Boolean(one),
    open: !base.must,
  };
}

function groupField(base, node) {
  const inner = base.value === undefined ? [] : fromSchema(base.address, node);
  return { ...base, kind: "group", inner, required: node.required ?? [] };
}

function pointField(base, node) {
  const width = base.value?.length ?? node.minItems ?? 2;
  const words = base.key === "prefers_t" ? ["smallest", "largest"] : ["along", "across", "up"];
  const unit = ["at", "centre", "from", "to"].includes(base.key) ? "m" : "";
  return { ...base, kind: "point", width, words, unit };
}
