// Every number and word of the chosen table as a field. In: the table, the schema where there is
// one. Out: changes, one a field; problems beside the field that they are about.

import { button, byId, make, option, setText, whenQuiet } from "./dom.js";
import { addTable, edit, endPreview, preview, removeTable, setValues } from "./exchange.js";
import { fieldsOf } from "./fieldlist.js";
import { inHand, renew, takeUp } from "./keep.js";
import { dimension, isShared, nameOf, on, ownerOf, parts, plain, state, valueAt } from "./state.js";
import { letterOf } from "./section.js";
import { goToText, lineOf } from "./text.js";
import { allowedWords, parse, plainNumber, shown, told, wordsOf } from "./units.js";

const TYPING_REST_MS = 250;

// ---- one field on the page ----

let fields = new Map(); // plain address -> { input, note, problem }

function row(field, control, extra = null) {
  const id = `field-${plain(field.address).replace(/[^\w]+/g, "-")}`;
  control.id = id;
  const unit = field.unit && !(field.unit === "m" && state.units === "ft") ? ` (${field.unit})` : "";
  const name = field.label ?? wordsOf(field.key);
  const note = make("p", { class: "note", id: `${id}-note`, text: noteWords(field) });
  const problem = make("p", { class: "problem", id: `${id}-problem`, hidden: true });
  control.setAttribute("aria-describedby", `${note.id} ${problem.id}`);
  const letter = letterOf(field.address);
  const badge = letter ? make("span", { class: "letter", "aria-hidden": "true", text: letter }) : null;
  const label = make("label", { for: id }, badge, name + unit);
  const wide = field.kind === "text" || field.kind === "names" ? " wide" : "";
  const box = make("div", { class: `field-row${wide}`, "data-address": field.address }, label, control, extra, note, problem);
  box.entry = { input: control, problem };
  return box;
}

function noteWords(field) {
  const said = [];
  if (field.kind === "number" && field.value === undefined && field.usual !== undefined) {
    said.push(`Not stated: ${told(field.usual, field.unit, state.units)} holds.`);
  }
  if (field.help) said.push(field.help.endsWith(".") ? field.help : `${field.help}.`);
  return said.join(" ");
}

function showProblem(address, text) {
  const entry = fields.get(plain(address));
  if (!entry) return false;
  entry.problem.hidden = !text;
  setText(entry.problem, text ?? "");
  if (text) entry.input.setAttribute("aria-invalid", "true");
  else entry.input.removeAttribute("aria-invalid");
  return true;
}

// ---- numbers ----

function numberInput(field) {
  const text = shown(field.value, field.unit, state.units);
  const input = make("input", { type: "text", inputmode: field.unit === "m" && state.units === "ft" ? "text" : "decimal",
    autocomplete: "off", value: text, placeholder: field.usual === undefined ? "" : shown(field.usual, field.unit, state.units) });
  const refuse = () => {
    const allowed = allowedWords(field.min, field.max, field.unit, state.units);
    showProblem(field.address, `${input.value.trim() || "Nothing"} cannot stand here: ${allowed} is allowed.`);
  };
  const read = () => {
    const value = parse(input.value, field.unit, state.units);
    const inside = value >= (field.min ?? -Infinity) && value <= (field.max ?? Infinity);
    return Number.isFinite(value) && inside ? value : null;
  };
  let sent = false; // then the answer is on its way, and there is nothing to try
  const look = whenQuiet(() => {
    const value = read();
    if (!sent && value !== null && document.activeElement === input && input.value !== text) preview([{ address: field.address, value }]);
  }, TYPING_REST_MS);
  input.addEventListener("input", () => {
    showProblem(field.address, null);
    if (field.dimension) look();
  });
  input.addEventListener("change", () => {
    if (input.value.trim() === text) return;
    if (input.value.trim() === "" && field.open) return take(field, null, input);
    const value = read();
    if (value === null) return refuse();
    sent = true;
    take(field, value, input).then(() => (sent = false));
  });
  input.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      input.value = text;
      showProblem(field.address, null);
      endPreview(true);
    }
    if (event.key === "Enter" && input.getAttribute("aria-invalid")) input.dispatchEvent(new Event("change")); // perhaps it can be now
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    const value = way && read();
    if (!way || value === null) return;
    event.preventDefault();
    const size = (field.unit === "" ? 0.01 : 0.1) * (event.shiftKey ? 10 : 1) * way;
    input.value = shown(Number((value + size).toFixed(4)), field.unit, state.units);
    look();
    wait(input);
  });
  return input;
}

const wait = whenQuiet((input) => input.dispatchEvent(new Event("change")), 700);

async function take(field, value, input) {
  endPreview(false);
  const what = `${nameOf(tableOf(field.address))}: ${wordsOf(field.key).toLowerCase()}`;
  const taken = field.dimension && value !== null
    ? await edit([{ address: field.address, value }], what)
    : await setValues([{ address: field.address, value }], what);
  if (!taken && document.activeElement === document.body) input.focus(); // not out of the field that is typed in next
}

function tableOf(address) {
  const [kind, index] = parts(plain(address));
  return /^\d+$/.test(index ?? "") ? `${kind}[${index}]` : kind;
}

// ---- words, choices, lists ----

function wordInput(field) {
  const type = { date: "date", on: "date", stands_from: "date", stands_until: "date", start: "time" }[field.key] ?? "text";
  const list = field.key === "zone" ? "zone-list" : null;
  const input = make("input", { type, list, autocomplete: "off", value: field.value ?? "" });
  input.addEventListener("change", () => take(field, input.value.trim() || null, input));
  return input;
}

function choiceInput(field) {
  const input = make("select");
  if (!field.must) input.append(option("not stated", "", field.value === undefined));
  for (const choice of field.choices) input.append(option(String(choice).replaceAll("_", " "), choice, choice === field.value));
  input.addEventListener("change", () => take(field, input.value || null, input));
  return input;
}

// Names with commas between, and a list to choose the next one from.
function namesRow(field) {
  const input = make("input", { type: "text", autocomplete: "off", value: (field.value ?? []).join(", ") });
  const list = () => input.value.split(",").map((name) => name.trim()).filter(Boolean);
  input.addEventListener("change", () => take(field, list(), input));
  const known = knownNames(field.key);
  const more = make("select", { "aria-label": `Add to ${wordsOf(field.key).toLowerCase()}` }, option("add \u2026", ""));
  for (const name of known) more.append(option(name, name));
  more.addEventListener("change", () => {
    input.value = [...list(), more.value].join(", ");
    take(field, list(), input);
  });
  return row({ ...field, help: `${field.help} With commas between.`.trim() }, input, known.length ? more : null);
}

function knownNames(key) {
  const { ground } = state;
  if (key === "looks_at") return [...(ground.marks ?? []).map((mark) => mark.name ?? mark), ...(ground.zones ?? []).map((zone) => zone.name ?? zone)];
  if (key === "cameras") return ground.cameras.map((camera) => camera.name);
  if (key === "joins") return ground.stands.filter((one) => one.kind === "stand").map((one) => one.name);
  return [];
}

// ---- points: one field a number ----

function pointInputs(field, values, save) {
  const boxes = make("div", { class: "point" });
  const width = field.width;
  for (let k = 0; k < width; k += 1) {
    const unit = field.unit ?? "m";
    const input = make("input", { type: "text", inputmode: "decimal", autocomplete: "off",
      value: shown(values?.[k], unit, state.units),
      "aria-label": `${field.label ?? wordsOf(field.key)}, ${(field.words ?? ["along", "across", "up"])[k]}` });
    const before = input.value;
    input.addEventListener("change", () => {
      const value = parse(input.value, unit, state.units);
      if (input.value.trim() === before) return;
      if (!Number.isFinite(value)) return void showProblem(field.address, `${input.value || "Nothing"} is no number.`);
      save(k, value, input);
    });
    boxes.append(make("span", { class: "point-part" }, make("span", { class: "point-word", "aria-hidden": "true", text: (field.words ?? ["along", "across", "up"])[k] }), input));
  }
  return boxes;
}

// What a point is, and which way its numbers count: a wrong sign is a thing on the wrong side.
function pointWords({ key, help, words, width }) {
  const what = help.replace(/:?\s*\[[^\]]*\] (metres|degrees)[:;.,]*\s*/, " ").trim().replace(/[^.]$/, "$&.");
  const signs = key === "profile" || words?.[0] === "smallest" ? ""
    : `Along: ahead is positive. Across: left is positive.${width > 2 ? " Up: above the playing surface." : ""}`;
  return [what && what.charAt(0).toUpperCase() + what.slice(1), signs].filter(Boolean).join(" ");
}

function pointRow(field, values = field.value, index = null) {
  const address = index === null ? field.address : `${field.address}[${index}]`;
  const label = index === null ? wordsOf(field.key) : `${wordsOf(field.key)} ${index + 1}`;
  const save = (k, value, input) => {
    const one = dimension(`${address}[${k}]`);
    if (one) return take({ ...field, address: one.address, dimension: true, key: field.key }, value, input);
    const changed = [...(values ?? Array(field.width).fill(0))];
    changed[k] = value;
    const whole = index === null ? changed : (field.value ?? []).map((point, i) => (i === index ? changed : point));
    return take(field, whole, input);
  };
  const unit = field.unit ?? (field.key === "profile" ? "\u00b0" : "m");
  const words = field.key === "profile" ? ["azimuth", "elevation"] : field.words;
  const boxes = pointInputs({ ...field, address, label, unit, words }, values, save);
  const problem = make("p", { class: "problem", hidden: true });
  const suffix = unit === "m" && state.units === "ft" ? "" : unit ? ` (${unit})` : "";
  const note = index === null ? make("p", { class: "note", text: pointWords(field) }) : null;
  const box = make("div", { class: "field-row", role: "group", "aria-label": label, "data-address": address },
    make("span", { class: "label", text: label + suffix }), boxes, note, problem);
  box.entry = { input: boxes.querySelector("input"), problem };
  return box;
}

function pointsRows(field) {
  const points = field.value ?? [];
  const none = points.length ? null : make("p", { class: "label", text: wordsOf(field.key) });
  const box = make("div", { class: "points" }, none, ...points.map((point, k) => pointRow(field, point, k)));
  const more = () => {
    const last = points.at(-1) ?? Array(field.width).fill(0);
    const next = last.map((value, k) => (k < 2 ? Number((value + 2).toFixed(2)) : value));
    return take(field, [...points, next], box);
  };
  const word = wordsOf(field.key).toLowerCase();
  box.append(make("p", { class: "note", text: pointWords(field) }));
  box.append(make("div", { class: "row" }, button(`Add a point to ${word}`, more, { class: "quiet" })));
  if (points.length > 1) box.lastChild.append(button("Remove the last", () => take(field, points.slice(0, -1), box), { class: "quiet" }));
  box.tabIndex = -1;
  return box;
}

// ---- inner tables ----

const STARTS = {
  roof: (table) => {
    const back = valueAt(`${table}.back_height_m`) ?? 8;
    return { front_height_m: back + 4, back_height_m: back + 2.5, overhang_m: 1 };
  },
};

function groupRows(field) {
  const name = wordsOf(field.key);
  const table = field.address.slice(0, -field.key.length - 1);
  if (field.value === undefined) {
    const start = STARTS[field.key]?.(table) ?? {};
    const add = () => setValues([{ address: field.address, value: start }], `${nameOf(table)}: ${name.toLowerCase()} added`);
    return marked(make("div", { class: "row" }, button(`Add ${name.toLowerCase()}`, add)), field.address);
  }
  const away = () => setValues([{ address: field.address, value: null }], `${nameOf(table)}: ${name.toLowerCase()} removed`);
  const box = make("fieldset", {}, marked(make("legend", { text: name }), "legend"), ...field.inner.map(rowOf),
    marked(make("div", { class: "row" }, button(`Remove ${name.toLowerCase()}`, away, { class: "quiet" })), "away"));
  box.group = `group of ${markOf(field.address)}`;
  return box;
}

// What a node stands for: the ground, the thing, the units, and all that it shows.
function markOf(...shown) {
  return JSON.stringify([state.ground.file, state.choice, nameOf(state.choice), state.units, ...shown]);
}

function marked(node, ...shown) {
  node.mark = markOf(...shown);
  return node;
}

function rowOf(field) {
  if (field.kind === "group") return groupRows(field);
  return marked(madeRow(field), field, field.kind === "names" ? knownNames(field.key) : null);
}

function madeRow(field) {
  if (field.kind === "number") return row(field, numberInput(field));
  if (field.kind === "choice") return row(field, choiceInput(field));
  if (field.kind === "names") return namesRow(field);
  if (field.kind === "point") return pointRow(field);
  if (field.kind === "points") return pointsRows(field);
  return row(field, wordInput(field));
}

// ---- all fields of the chosen table ----

// Rarely changed keys stay folded until they are asked for or stated.
const RARE = /reflectance|run_off|surface|surrounds|technical|^corners$|^exposure$|scattered|^aspect$|^sway|^segments$|pressure|temperature_c|aerosol|in_goal|^only$|^without$|image_width|floodlight_lx|^stands_|^grows_|^measured_in/;

// What is stated one way is not stated the other: the other way stays folded as well.
const EITHER = [["at", ["gantry", "offset_m"]], ["footprint", ["centre", "radius_m"]], ["horizontal_fov_deg", ["focal_length_mm", "image_width_mm"]]];

function otherWay(all) {
  const stated = (key) => all.some((field) => field.key === key && field.value !== undefined);
  return EITHER.flatMap(([one, others]) => {
    if (stated(one)) return others;
    return others.some(stated) ? [one] : [];
  });
}

export function showFields() {
  const box = byId("fields");
  const kept = inHand(box);
  fields = new Map();
  if (!state.ground) return box.replaceChildren();
  if (isShared(state.choice)) return renew(box, sharedNote());
  const all = fieldsOf(state.choice);
  const folded = otherWay(all);
  const rare = all.filter((field) => (RARE.test(field.key) || folded.includes(field.key)) && field.value === undefined);
  const usual = all.filter((field) => !rare.includes(field));
  const nodes = usual.map(rowOf);
  if (rare.length) nodes.push(rareRows(rare, box.querySelector("details")?.open ?? false));
  if (!all.length) nodes.push(make("p", { class: "note", text: "This part has no numbers of its own." }));
  renew(box, [...nodes, ...removal()]);
  for (const node of box.querySelectorAll("[data-address]")) if (node.entry) fields.set(plain(node.dataset.address), node.entry);
  if (kept) takeUp(box, kept);
}

// What belongs to the site or to another of its fields: whose it is, and the way to it.
function sharedNote() {
  const relief = state.choice === "shared.relief";
  const owner = relief ? { name: null, field: null } : ownerOf(nameOf(state.choice));
  const words = [
    relief ? "The ground is not flat. Its heights are changed in the text." : null,
    !relief && owner.field === null ? `${owner.name} belongs to the whole site, so that a change holds for all of its fields. It is changed in the text.` : null,
    owner.field === null ? null : `${owner.name} belongs to ${owner.field}. To change it choose that field at the top of the page, or change it in the text.`,
  ].find(Boolean);
  const line = lineOf(owner);
  return [make("p", { class: "note", text: words }), ...(line ? [button(`Line ${line} of the text`, () => goToText(line), { class: "quiet" })] : [])];
}

function rareRows(rare, open) {
  const box = make("details", { open }, marked(make("summary", { text: `${rare.length} more, not stated` }), rare.length), ...rare.map(rowOf));
  box.group = `rare of ${markOf()}`;
  return box;
}

function removal() {
  const [kind, index] = parts(state.choice);
  if (index === undefined) return [];
  const name = nameOf(state.choice);
  const remove = async () => {
    const table = `${kind}[${index}]`;
    if (await removeTable(table, `${name} removed`)) byId("things").focus();
  };
  const again = () => addTable(kind, copyOf(), `${name} copied`);
  const copy = state.ground.values ? button(`Copy ${name}`, again, { class: "quiet" }) : null;
  return [marked(make("div", { class: "row apart" }, copy, button(`Remove ${name}`, remove, { class: "quiet" })), "removal")];
}

function copyOf() {
  const values = structuredClone(valueAt(state.choice));
  values.name = `${values.name} copy`;
  if (Array.isArray(values.at)) values.at[0] = Number((values.at[0] + 5).toFixed(4));
  if (values.shift_m !== undefined || values.setback_m !== undefined) values.setback_m = Number(plainNumber(values.setback_m + values.depth_m));
  return values;
}

// Somebody who has gone on to the next field would not see what stands beside the last one.
function typesElsewhere(address) {
  const at = document.activeElement;
  const row = fields.get(plain(address)).input.closest("[data-address]");
  return at.matches("input, select") && !row.contains(at);
}

// Problems of the last change: beside their field; in the notice above where that is not the
// field that was changed.
export function showProblems() {
  const left = [];
  for (const problem of state.problems) {
    const beside = problem.key && showProblem(problem.key, problem.text);
    if (!beside || plain(problem.key) !== plain(state.edited ?? "") || typesElsewhere(problem.key)) left.push(problem);
  }
  state.otherProblems = left;
}

export function startFields() {
  // what was sent is no longer in hand; seen on the way down, since our own events do not rise
  byId("fields").addEventListener("change", ({ target }) => (target.defaultValue = target.value), true);
  on("ground choice schema units", showFields);
}
