// Data of others, dropped on the page or chosen: outlines, a skyline, terrain, a model; a forecast
// goes to its own module. In: files.
// Out: a job of the import commands, whose result is one change of the ground, or a new ground.

import { get, getText, post, upload } from "./api.js";
import { announce, button, byId, labelled, make, option, setText } from "./dom.js";
import { isForecast, takeForecast } from "./forecast.js";
import { loadGround } from "./exchange.js";
import { showStart } from "./newground.js";
import { choose } from "./planview.js";
import { on, state } from "./state.js";
import { parseCoordinates } from "./units.js";

const ENDINGS = { geojson: "outlines", json: "outlines", csv: "skyline", txt: "skyline", tsv: "skyline",
  hgt: "terrain", tif: "terrain", tiff: "terrain", obj: "mesh", gltf: "mesh", glb: "mesh", bin: "buffer" };

const UNITS = [["metres", "1"], ["centimetres", "0.01"], ["millimetres", "0.001"], ["feet", "0.3048"], ["inches", "0.0254"]];

// [option of the command, kind of control, its words, first value, what it means]
const KINDS = {
  outlines: {
    command: "import outlines",
    words: "Outlines of a map",
    asks: [
      ["--within-m", "number", "Take outlines up to so far from the centre of play (m)", "", "Left open: the usual distance of the command."],
      ["--assume-height-m", "number", "Height of buildings that state none (m)", "", "Left open: such buildings are left out and listed."],
    ],
  },
  skyline: {
    command: "import horizon",
    words: "Skyline: a list of azimuths and elevations",
    asks: [["--declination-deg", "number", "Magnetic declination (\u00b0, east positive)", "", "Only where the azimuths were read off a compass."]],
  },
  terrain: {
    command: "import horizon",
    words: "Skyline from terrain",
    asks: [
      ["--ground-m", "number", "Height of the ground above sea level (m)", "", "Left open: that of the terrain."],
      ["--to-km", "number", "How far to look (km)", "50", ""],
    ],
  },
  mesh: {
    command: "import mesh",
    words: "Model of a stand",
    asks: [
      ["--metres-per-unit", UNITS, "Unit of the file", "1", ""],
      ["--up", [["z", "z"], ["y", "y"]], "Axis that points up", "z", "Of glTF it is y."],
      ["--at", "text", "Its origin: along, across, up (m)", "0,0,0", "It can be dragged afterwards."],
      ["--turned-deg", "number", "Turned clockwise (\u00b0)", "0", ""],
      ["--name", "text", "Name", "", "Left open: the name of the file."],
    ],
  },
};

// What only a new ground needs.
const FOR_NEW = [
  ["--zone", "zone", "Time zone", "", "A name such as Europe/London."],
  ["--height-m", "number", "Height of the turf above sea level (m)", "0", ""],
  ["--title", "text", "Name of the ground", "", "Left open: the name of the field of play."],
  ["--sport", [["as drawn", ""], ...["football", "rugby_union", "tennis", "hockey", "cricket", "free"].map((one) => [one.replace("_", " "), one])], "Sport", "", ""],
  ["--centre", "place", "Centre of play, where the file has no field of play", "", "Latitude and longitude, as maps write them."],
  ["--bearing-deg", "number", "Bearing of its long axis (\u00b0 from true north)", "", "Only with a centre."],
];

const given = { files: [], kind: null, job: null, fresh: false };

const ending = (name) => name.toLowerCase().split(".").at(-1);

// A name as the server takes it.
function plainName(name) {
  const stem = name.replace(/\.[^.]*$/, "").replace(/[^\p{L}\p{N}_ -]+/gu, "-").replace(/^[-. ]+/, "").slice(0, 60);
  return `${stem || "file"}.${ending(name)}`;
}

function kindOf(files) {
  const kinds = [...new Set(files.map((file) => ENDINGS[ending(file.name)] ?? "unknown").filter((kind) => kind !== "buffer"))];
  return kinds.length === 1 ? kinds[0] : null;
}

// ---- the dialog ----

function control([name, kind, words, first, hint]) {
  const node = Array.isArray(kind)
    ? make("select", {}, ...kind.map(([text, value]) => option(text, value, value === first)))
    : make("input", { type: kind === "number" ? "number" : "text", step: kind === "number" ? "any" : null,
        list: kind === "zone" ? "zone-list" : null, value: first, autocomplete: "off" });
  node.dataset.option = name;
  node.dataset.kind = Array.isArray(kind) ? "choice" : kind;
  return labelled(words, node, hint);
}

export async function offer(files) {
  if (!files.length) return;
  if (files.length === 1 && state.ground && (await isForecast(files[0]))) return void takeForecast(files[0]);
  const dialog = byId("bring-dialog");
  given.files = files;
  given.kind = kindOf(files);
  given.job = null;
  given.fresh = !state.ground || !byId("start").hidden;
  const known = KINDS[given.kind];
  const alone = known && given.fresh && given.kind !== "outlines";
  setText(byId("bring-title"), known ? known.words : "These files cannot be brought in together");
  setText(byId("bring-files"), files.map((file) => file.name).join(", "));
  byId("bring-form").hidden = !known || alone;
  setText(byId("bring-problem"), refusalWords(known, alone));
  byId("bring-log").hidden = true;
  if (known && !alone) byId("bring-asks").replaceChildren(...asksOf(known).map(control));
  const up = byId("bring-asks").querySelector("[data-option='--up']");
  if (up && ending(files[0].name) !== "obj") up.value = "y";
  const zone = byId("bring-asks").querySelector("[data-kind='zone']");
  if (zone) zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (!dialog.open) dialog.showModal();
}

function refusalWords(known, alone) {
  if (!known) return "One file of outlines (GeoJSON), one list (CSV), terrain (.hgt, .tif) or one model (OBJ, glTF) at a time.";
  return alone ? "That adds to a ground: open one first, or make a new one." : "";
}

function asksOf(known) {
  if (!given.fresh) return known.asks;
  const file = ["new_file", "text", "File", plainName(given.files[0].name).replace(/\.\w+$/, ".toml"), "A new venue file in the folder."];
  return [file, ...FOR_NEW, ...known.asks];
}

function readOptions() {
  const options = {};
  for (const node of byId("bring-asks").querySelectorAll("[data-option]")) {
    const text = node.value.trim();
    if (!text) continue;
    options[node.dataset.option] = node.dataset.kind === "place" ? parseCoordinates(text)?.join(",") ?? text : text;
  }
  return options;
}

async function bring(event) {
  event.preventDefault();
  const { new_file: newFile, ...options } = readOptions();
  const names = given.files.map((file) => plainName(file.name));
  const models = names.filter((name) => ENDINGS[ending(name)] !== "buffer");
  const start = byId("bring-start");
  start.disabled = true;
  try {
    for (const [k, file] of given.files.entries()) {
      setText(byId("bring-problem"), `Reading ${file.name} \u2026`);
      await upload(`/api/dropped/${encodeURIComponent(names[k])}`, file);
    }
    const file = KINDS[given.kind].command === "import horizon" ? models : models[0];
    const { id } = await post("/api/jobs", { command: KINDS[given.kind].command, options: { FILE: file, ...options },
      dropped: names, new_file: given.fresh ? newFile ?? "ground.toml" : null });
    given.job = id;
    setText(byId("bring-problem"), "");
    byId("bring-form").hidden = true;
    follow();
  } catch (refusal) {
    setText(byId("bring-problem"), refusal.message);
  }
  start.disabled = false;
}

// ---- the job ----

async function follow() {
  if (given.job === null || !byId("bring-dialog").open) return;
  const job = (await get("/api/jobs").catch(() => [])).find((one) => one.id === given.job);
  if (!job) return;
  const over = !["waiting", "running"].includes(job.state);
  const log = byId("bring-log");
  log.hidden = false;
  byId("bring-stop").hidden = over;
  setText(log, over ? await told(job) : job.lines.slice(-3).join("\n") || "Being brought in \u2026");
  if (!over) return;
  given.job = null;
  const done = job.state === "done";
  setText(byId("bring-problem"), done ? "" : "Nothing was changed.");
  announce(done ? "Brought in." : "Not brought in.");
  if (done) await arrive(given.kind, given.fresh);
}

// All that the command said, without the lines of its progress.
async function told(job) {
  const text = await getText(`/api/jobs/${job.id}/files/summary.txt`, { open: 1 }).catch(() => job.lines.join("\n"));
  return text.split("\n").filter((line) => !/ \d+ %$/.test(line) && !line.startsWith("Written: ")).join("\n").trim();
}

async function arrive(kind, fresh) {
  await loadGround().catch(() => {});
  if (fresh) showStart(false);
  const meshes = state.ground?.values?.mesh?.length ?? 0;
  if (kind === "mesh" && meshes) choose(`mesh[${meshes - 1}]`);
  if (kind === "skyline" || kind === "terrain") choose("horizon");
}

// ---- dropping and choosing ----

export function startBring() {
  const dialog = byId("bring-dialog");
  byId("bring-form").addEventListener("submit", bring);
  byId("bring-stop").addEventListener("click", () => post(`/api/jobs/${given.job}/stop`).catch(() => {}));
  dialog.append(make("div", { class: "row" }, button("Close", () => dialog.close())));
  for (const id of ["bring", "bring-new"]) byId(id).addEventListener("click", () => byId("bring-input").click());
  byId("bring-input").addEventListener("change", ({ target }) => {
    offer([...target.files]);
    target.value = ""; // the same file may be chosen again
  });
  const holdsFiles = (event) => [...(event.dataTransfer?.types ?? [])].includes("Files");
  const lit = (on) => document.documentElement.classList.toggle("dropping", on);
  document.addEventListener("dragover", (event) => {
    if (!holdsFiles(event)) return;
    event.preventDefault();
    lit(true);
  });
  document.addEventListener("dragleave", (event) => {
    if (event.relatedTarget === null) lit(false);
  });
  document.addEventListener("drop", (event) => {
    if (!holdsFiles(event)) return;
    event.preventDefault();
    lit(false);
    offer([...event.dataTransfer.files]);
  });
  on("job", follow);
}
