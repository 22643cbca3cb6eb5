// The commands of quarterstop as jobs: chosen options, their progress, stop, files to take home.
// In: what the server says of its jobs. Out: requests to start and stop.

import { base, get, post } from "./api.js";
import { announce, button, byId, labelled, make, option, setText, whenQuiet } from "./dom.js";
import { clockText, on, state } from "./state.js";

const SKIES = ["clear", "cumulus", "thin", "broken", "overcast"];
const DAY = ["--date", "date", "Date", () => state.ground?.date ?? state.date];
const START = ["--start", "time", "Start", () => state.ground?.start ?? clockText(state.minute)];
const STEP = ["--step", "number", "Minutes from one instant to the next", () => "", "1"];
const SKY = ["--sky", SKIES, "Sky", () => "clear"];

// [command, what it answers, its options on this page]
const COMMANDS = [
  ["brief", "Crew's brief: pages, sheets, cues", [DAY, START, SKY, STEP, ["--operators", "number", "Operators", () => "", "one for three cameras"]]],
  ["match", "Match: timeline, pictures, tables", [DAY, START, SKY, STEP]],
  ["matching", "Cuts between cameras, and what to trim", [DAY, START, SKY, STEP]],
  ["on-air", "As it will look on air", [DAY, START, SKY, ["--minute", "text", "Minutes, with commas between", () => "", "four"]]],
  ["positions", "Camera positions compared", [DAY, START, SKY]],
  ["sensitivity", "What to measure first", [DAY, START]],
  ["look-up", "Look up from a place", [DAY]],
  ["year", "A year at this ground", [["--year", "number", "Year", () => (state.ground?.date ?? state.date ?? "").slice(0, 4)]]],
  ["starts", "Start times ranked", [DAY]],
  ["ball", "The high ball", [DAY, START]],
  ["odds", "Odds of sun from a weather file", [["EPW", "text", "Weather file (EPW) in the folder", () => ""]]],
  ["changed", "What changed for a fixture", []],
  ["places", "Marks, zones and areas by name", []],
];

let jobs = [];
let asked = false; // somebody has just started one, and looks for it

function showOptions() {
  const command = COMMANDS.find(([name]) => name === byId("command").value);
  byId("job-options").replaceChildren(...command[2].map(([name, kind, words, usual, otherwise = null]) => {
    const control = Array.isArray(kind)
      ? make("select", {}, ...kind.map((choice) => option(choice, choice)))
      : make("input", { type: kind, value: usual(), min: kind === "number" ? 1 : null, placeholder: otherwise });
    control.dataset.option = name;
    return labelled(words, control);
  }));
  for (const control of byId("job-more").querySelectorAll("input")) control.value = "";
}

async function startJob(event) {
  event.preventDefault();
  const options = {};
  for (const control of byId("job-options").querySelectorAll("[data-option]")) {
    if (control.value) options[control.dataset.option] = control.value;
  }
  for (const match of byId("more-options").value.matchAll(/(--[a-z-]+)(?:[ =]("[^"]*"|[^\s-][^\s]*))?/g)) {
    options[match[1]] = match[2] === undefined ? true : match[2].replaceAll('"', "");
  }
  try {
    await post("/api/jobs", { command: byId("command").value, options });
    setText(byId("job-problem"), "");
    asked = true;
  } catch (refusal) {
    setText(byId("job-problem"), refusal.message);
  }
  refresh();
}

const STATES = { waiting: "waiting for its turn", running: "running", done: "done", failed: "failed", stopped: "stopped" };

function fileNode(job, name) {
  const path = `${base}/api/jobs/${job.id}/files/${name.split("/").map(encodeURIComponent).join("/")}`;
  const item = make("li", {}, make("a", { href: path, download: name, text: name }));
  if (/\.html$/i.test(name)) item.append(" ", make("a", { href: `${path}?open=1`, target: "_blank", rel: "noopener", text: "open", "aria-label": `Open ${name}` }));
  if (/\.png$/i.test(name)) item.prepend(make("img", { src: `${path}?open=1`, alt: `Picture ${name}`, loading: "lazy" }));
  return item;
}

const wordsOf = (job) => COMMANDS.find(([name]) => name === job.command)?.[1] ?? job.command;

function jobNode(job) {
  const node = make("li", { class: "job", "data-state": job.state });
  const words = wordsOf(job);
  const head = make("div", { class: "row between" }, make("h3", { text: `${words}: ${STATES[job.state] ?? job.state}` }));
  const going = job.state === "running" || job.state === "waiting";
  if (going) head.append(button("Stop", () => post(`/api/jobs/${job.id}/stop`).catch(() => {}).then(refresh), { "aria-label": `Stop ${words}` }));
  node.append(head);
  if (job.state === "running") node.append(make("progress", { "aria-label": `${words} is running` }));
  const printed = job.lines?.length ? make("pre", { tabindex: 0, "aria-label": `What ${job.command} said`, text: job.lines.slice(job.state === "running" ? -3 : -12).join("\n") }) : null;
  if (job.files?.length) {
    node.append(make("p", { class: "note", text: "Save what you need: these files go when quarterstop ends." }),
      make("ul", { class: "files" }, ...job.files.map((name) => fileNode(job, typeof name === "string" ? name : name.name))));
  }
  if (printed) node.append(printed);
  return node;
}

function show() {
  const open = [...jobs].sort((a, b) => b.id - a.id);
  const focused = document.activeElement?.closest(".job") ? document.activeElement.getAttribute("aria-label") : null;
  byId("job-list").replaceChildren(...open.map(jobNode));
  if (focused) [...byId("job-list").querySelectorAll("[aria-label]")].find((one) => one.getAttribute("aria-label") === focused)?.focus();
  if (asked && open.length) {
    asked = false;
    byId("job-list").scrollIntoView({ block: "start" });
    announce(`${wordsOf(open[0])}: ${STATES[open[0].state]}.`);
  }
  const running = jobs.filter((job) => job.state === "running" || job.state === "waiting").length;
  setText(byId("job-count"), running ? String(running) : "");
}

async function load() {
  try {
    const answer = await get("/api/jobs");
    jobs = Array.isArray(answer) ? answer : answer.jobs ?? [];
    show();
  } catch {
    // The list stays as it was; the next piece of news asks again.
  }
}

export const refresh = whenQuiet(load, 80);

export function startJobs() {
  for (const [name, words] of COMMANDS) byId("command").append(option(words, name));
  byId("command").addEventListener("change", showOptions);
  byId("job-form").addEventListener("submit", startJob);
  on("job", refresh);
  on("ground", () => {
    if (!byId("job-options").contains(document.activeElement)) showOptions();
  });
  showOptions();
}
