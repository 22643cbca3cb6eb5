// What the page shows now, and who wants to know when it changes.
// Everything of the ground comes from the server; nothing here is worked out twice.

export const state = {
  ground: null, // as /api/ground
  schema: null, // JSON Schema of the venue file, where the server gives it
  choice: "field", // table whose numbers are shown: "stand[0]", "camera[2]", "place"
  camera: 0, // whose coverage is drawn
  date: null, // "YYYY-MM-DD", the venue's own calendar
  minute: 900, // of the day, by the venue's clock
  fold: null, // "first" or "second" where a clock change repeats a time
  shadow: null, // as /api/shadow
  instant: null, // as /api/instant
  plan: null, // as /api/plan
  course: null, // shade through the match: of the plan, or of /api/outlook until there is one
  courseDate: null, // day of that
  broken: null, // the refusal of a file that does not read
  preview: null, // stands, cameras and shadow of a change that is not made yet
  previewOf: null, // the list of numbers that it was made for
  trial: [], // the numbers of that change: [{ address, value }]
  kept: null, // a state kept for comparison
  stale: { shadow: true, instant: true, plan: true },
  units: "m", // or "ft"
  planDate: null, // day of the plan
  planStep: 1, // minutes from one instant of it to the next
  timeProblem: null, // why the shown time has no shadow: a repeated or a skipped hour
  edited: null, // address of the last change that was asked for
  refusedPreview: null, // why the change under the pointer cannot be
  problems: [], // of the last change that was refused
  connected: true,
};

const listeners = new Map();

export function on(topics, act) {
  for (const topic of topics.split(" ")) {
    if (!listeners.has(topic)) listeners.set(topic, []);
    listeners.get(topic).push(act);
  }
}

export function emit(topic) {
  for (const act of listeners.get(topic) ?? []) act();
}

export function atText(date = state.date, minute = state.minute) {
  return `${date}T${clockText(minute)}:00`;
}

export function clockText(minute) {
  const whole = Math.max(0, Math.min(1439, Math.round(minute)));
  return `${String(Math.floor(whole / 60)).padStart(2, "0")}:${String(whole % 60).padStart(2, "0")}`;
}

export function minuteOf(clock) {
  const match = /^(\d{1,2}):(\d{2})/.exec(clock ?? "");
  return match ? Math.min(1439, Number(match[1]) * 60 + Number(match[2])) : null;
}

// What is drawn: the change under the pointer if there is one, else the ground as it is.
export function shownStands() {
  return state.preview?.stands ?? state.ground?.stands ?? [];
}

export function shownCameras() {
  return state.preview?.cameras ?? state.ground?.cameras ?? [];
}

export function shownShadow() {
  return state.preview?.shadow ?? state.shadow;
}

// ---- what a site has beside this field, and heights of the ground: shown, and changed in the text ----

export const isShared = (table) => table.startsWith("shared.");

// { name, field }: of a thing of another field its own name and that field's.
export function ownerOf(shownName) {
  const field = (state.ground?.fields ?? []).find((one) => shownName.endsWith(` (${one})`)) ?? null;
  return { name: field === null ? shownName : shownName.slice(0, -(field.length + 3)), field };
}

// ---- addresses: `stand[0].roof.gap_m`, `stand."Mill Stand".roof.gap_m`, `solid[1].footprint[0][1]` ----

export function parts(address) {
  const found = [];
  const pattern = /"((?:[^"\\]|\\.)*)"|'([^']*)'|\[(\d+)\]|([^.[\]"']+)/g;
  for (const match of address.matchAll(pattern)) {
    found.push(match[1]?.replace(/\\(.)/g, "$1") ?? match[2] ?? match[3] ?? match[4].trim());
  }
  return found;
}

// One spelling for every way to write an address: parts with dots, tables by number.
export function plain(address) {
  const list = parts(address);
  const tables = state.ground?.values?.[list[0]];
  if (Array.isArray(tables) && !/^\d+$/.test(list[1] ?? "")) {
    const index = tables.findIndex((table) => String(table.name ?? "").trim() === list[1]);
    if (index >= 0) list[1] = String(index);
  }
  return list.join(".");
}

let dimensions = new Map();

export function indexDimensions() {
  dimensions = new Map((state.ground?.dimensions ?? []).map((one) => [plain(one.address), one]));
}

export function dimension(address) {
  return dimensions.get(plain(address)) ?? null;
}

export function allDimensions() {
  return [...dimensions.values()];
}

// A number as it is shown: typed or dragged to, stated, or the usual one.
export function shownNumber(address) {
  const path = plain(address);
  const trial = state.trial.find((one) => plain(one.address) === path);
  return trial?.value ?? dimension(address)?.value;
}

// A value of the file by its address; undefined where the file leaves it open.
export function valueAt(address) {
  const values = state.ground?.values;
  if (values) return parts(address).reduce((inner, part) => inner?.[part], values);
  return dimension(address)?.value;
}

export function nameOf(table) {
  const [kind, index] = parts(table);
  const name = valueAt(`${table}.name`);
  if (name) return name;
  const shown = [...(state.ground?.stands ?? []), ...(state.ground?.cameras ?? [])].find((one) => one.table === table);
  return shown?.name ?? (index === undefined ? kind : `${kind} ${Number(index) + 1}`);
}
