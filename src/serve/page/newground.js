// The start: demo grounds, files of the folder, a new ground. In: choices and what was measured.
// Out: a ground that is open.

import { get } from "./api.js";
import { FieldProblem, bearingControls } from "./bearing.js";
import { button, byId, labelled, make, option, setText } from "./dom.js";
import { openGround } from "./exchange.js";
import { emit, on, state } from "./state.js";
import { parseCoordinates, parseLength, plainNumber } from "./units.js";

const SPORTS = ["football", "rugby_union", "tennis", "hockey", "cricket", "golf", "free"];
const OUTLINED = ["golf", "free"];
const FAR_FROM_ZONE_H = 2.6; // clocks may be ahead of the sun by so much; more is likely a swapped sign

// ---- files and demos ----

async function showFiles() {
  let answer;
  try {
    answer = await get("/api/files");
  } catch (refusal) {
    return setText(byId("open-problem"), refusal.message);
  }
  setText(byId("folder"), answer.folder ? `In the folder ${answer.folder}` : "");
  const files = (answer.files ?? []).map((name) => make("li", {}, button(name, () => open("/api/open", { file: name }))));
  byId("file-list").replaceChildren(...files);
  byId("no-files").hidden = files.length > 0;
  const words = (name) => name.replace(/-demo$/, "").replace(/^./, (letter) => letter.toUpperCase());
  byId("demo-list").replaceChildren(...(answer.demos ?? []).map((name) => make("li", {}, button(`${words(name)} demo`, () => open("/api/open", { demo: name })))));
}

async function open(path, body) {
  try {
    await openGround(path, body);
    setText(byId("open-problem"), "");
    showStart(false);
    byId("tab-ground").click();
  } catch (refusal) {
    if (refusal.broken) {
      state.broken = refusal;
      emit("broken");
      return null;
    }
    setText(byId("open-problem"), refusal.message);
    return refusal;
  }
  return null;
}

// The fields of a site, of which one is shown.
function showFields(wanted) {
  const { field, fields } = state.ground ?? {};
  const box = byId("fields-of-site");
  box.hidden = !(wanted && fields?.length > 1);
  box.replaceChildren(...(fields ?? []).map((name) => option(name, name, name === field)));
}

async function takeField(event) {
  await open("/api/open", { file: state.ground.file, field: event.target.value });
  showFields(true);
}

export function showStart(wanted) {
  byId("start").hidden = !wanted;
  byId("work").hidden = wanted;
  byId("time-bar").hidden = wanted;
  byId("close-start").hidden = !state.ground;
  for (const id of ["undo", "redo", "other-ground", "units"]) byId(id).hidden = wanted;
  showFields(!wanted);
  if (!wanted) return emit("saved"); // the header is that of the ground again
  setText(byId("title"), "Quarterstop");
  setText(byId("heading"), "Sun and shadow on a ground, camera by camera");
  showFiles();
}

// ---- a new ground ----

function zones() {
  const known = Intl.supportedValuesOf?.("timeZone") ?? [];
  const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
  return { known: known.includes(own) ? known : [own, ...known], own };
}

// Hours that a zone's clocks are ahead of UTC in January.
function hoursAhead(zone) {
  const parts = new Intl.DateTimeFormat("en-GB", { timeZone: zone, timeZoneName: "longOffset" }).formatToParts(new Date(Date.UTC(2027, 0, 15)));
  const match = /([+-])(\d\d):(\d\d)/.exec(parts.find((part) => part.type === "timeZoneName")?.value ?? "");
  return match ? (match[1] === "-" ? -1 : 1) * (Number(match[2]) + Number(match[3]) / 60) : 0;
}

// Words where place and zone can hardly both be right.
function zoneDoubt([, longitude], zone) {
  const gap = hoursAhead(zone) - longitude / 15;
  if (Math.abs(gap) < FAR_FROM_ZONE_H || Math.abs(gap) > 24 - FAR_FROM_ZONE_H) return "";
  return `By ${zone} noon would come ${Math.abs(gap).toFixed(1)} hours ${gap > 0 ? "late" : "early"} at that longitude. Is it the right time zone? Or are latitude and longitude swapped, or is a sign wrong?`;
}

function coordinateWords(pair) {
  const side = (value, plus, minus) => `${plainNumber(Math.abs(value), 5)}\u00b0 ${value < 0 ? minus : plus}`;
  return `${side(pair[0], "north", "south")}, ${side(pair[1], "east", "west")}`;
}

function buildForm() {
  const form = byId("new-form");
  const text = (props = {}) => make("input", { type: "text", autocomplete: "off", ...props });
  const controls = {
    title: text({ value: "New ground" }),
    sport: make("select", {}, ...SPORTS.map((sport) => option(sport.replaceAll("_", " "), sport))),
    length: text({ inputmode: "decimal" }),
    width: text({ inputmode: "decimal" }),
    place: text(),
    height: text({ inputmode: "decimal", value: "0" }),
    zone: make("input", { type: "text", list: "zone-list", autocomplete: "off", value: zones().own }),
    date: make("input", { type: "date", value: new Date().toISOString().slice(0, 10) }),
    start: make("input", { type: "time", value: "15:00" }),
    file: text({ value: "new-ground.toml" }),
  };
  byId("zone-list").append(...zones().known.map((name) => make("option", { value: name })));
  const bearing = bearingControls();
  const placeNote = make("p", { class: "note", role: "status" });
  const lookAtPlace = () => {
    const pair = parseCoordinates(controls.place.value);
    setText(placeNote, pair ? `${coordinateWords(pair)}. ${knownZone(controls.zone.value) ? zoneDoubt(pair, controls.zone.value) : ""}` : "");
  };
  controls.place.addEventListener("input", lookAtPlace);
  controls.zone.addEventListener("change", lookAtPlace);
  controls.title.addEventListener("change", () => {
    const stem = controls.title.value.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "");
    controls.file.value = `${stem || "new-ground"}.toml`;
  });
  form.append(
    labelled("Name of the ground", controls.title), labelled("Sport", controls.sport),
    labelled("Length of the field of play, along", controls.length, "Left open: the usual size of the sport. Metres, or feet and inches such as 345 ft."),
    labelled("Width of the field of play, across", controls.width),
    labelled("Coordinates of the centre of play", controls.place, "Pasted as maps write them: 52.3101, -0.4203 or 52\u00b018'36\"N 0\u00b025'12\"W"), placeNote,
    labelled("Height above sea level (m)", controls.height),
    labelled("Time zone", controls.zone), bearing.box,
    labelled("Date", controls.date), labelled("Start of play", controls.start), labelled("File", controls.file),
    make("p", { class: "problem", id: "new-problem", role: "alert" }),
    make("div", { class: "row" }, make("button", { type: "submit", text: "Make this ground" })),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    makeGround(controls, bearing);
  });
}

function knownZone(zone) {
  try {
    Intl.DateTimeFormat("en-GB", { timeZone: zone });
    return zone.length > 0;
  } catch {
    return false;
  }
}

function read(controls, bearing) {
  const pair = parseCoordinates(controls.place.value);
  if (!pair) throw new FieldProblem(controls.place, "The coordinates were not understood. Degrees north and east, such as 52.3101, -0.4203.");
  if (!knownZone(controls.zone.value)) throw new FieldProblem(controls.zone, "No such time zone: a name such as Europe/London.");
  if (!/^[\w][\w .-]*\.toml$/.test(controls.file.value)) throw new FieldProblem(controls.file, "The file's name: letters, digits, - and _, ending in .toml.");
  const { bearing_deg, ...north } = bearing.read();
  return {
    field: { ...north, ...fieldOf(controls) },
    height_m: size(controls.height) ?? 0,
    template: "empty",
    title: controls.title.value.trim() || "New ground",
    sport: controls.sport.value,
    latitude_deg: pair[0],
    longitude_deg: pair[1],
    zone: controls.zone.value,
    bearing_deg,
    date: controls.date.value,
    start: controls.start.value.slice(0, 5),
    file: controls.file.value,
  };
}

// A length in metres, or nothing where the control is empty.
function size(control) {
  if (!control.value.trim()) return null;
  const value = parseLength(control.value, state.units);
  if (!Number.isFinite(value)) throw new FieldProblem(control, `${control.value} is no length: 105, 105 m or 344 ft 6 in.`);
  return value;
}

// A field without markings of its own is stated by its corners, others by length and width.
function fieldOf(controls) {
  const [length, width] = [size(controls.length), size(controls.width)];
  if (!OUTLINED.includes(controls.sport.value)) {
    return { ...(length === null ? {} : { length_m: length }), ...(width === null ? {} : { width_m: width }) };
  }
  if (length === null) throw new FieldProblem(controls.length, "This sport has no usual size: state the length, then move the corners.");
  if (width === null) throw new FieldProblem(controls.width, "This sport has no usual size: state the width, then move the corners.");
  return { corners: [[-length / 2, -width / 2], [length / 2, -width / 2], [length / 2, width / 2], [-length / 2, width / 2]] };
}

async function makeGround(controls, bearing) {
  const note = byId("new-problem");
  for (const input of byId("new-form").querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
  let body;
  try {
    body = read(controls, bearing);
  } catch (problem) {
    if (!(problem instanceof FieldProblem)) throw problem;
    problem.input.setAttribute("aria-invalid", "true");
    problem.input.focus();
    return setText(note, problem.message);
  }
  setText(note, "");
  const refusal = await open("/api/new", body);
  if (refusal) setText(note, refusal.message);
}

export function startNewGround() {
  buildForm();
  byId("other-ground").addEventListener("click", () => showStart(true));
  byId("close-start").addEventListener("click", () => {
    showStart(false);
    byId("other-ground").focus();
  });
  byId("fields-of-site").addEventListener("change", takeField);
  on("ground", () => {
    if (byId("start").hidden) showFields(true);
    if (!byId("start").hidden) byId("close-start").hidden = false;
  });
}
