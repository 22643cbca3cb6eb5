// The wall: all cameras of the day, and one of them by itself.

import { base, get, getText } from "./api.js";
import { button, byId, make, oncePerFrame, option, setText } from "./dom.js";
import { cutLines, hardestWords, startCuts } from "./wallcuts.js";
import { clockText, day, nowMs, offsetS, startData } from "./walldata.js";
import { drawBar, enter, say, startKeys } from "./wallenter.js";
import { moveParts } from "./wallmoves.js";
import { expectedLines, headWords } from "./wallsky.js";
import { drawTiles, leftWords, minute, ndWords, tileOf } from "./walltiles.js";
import { irisWords, setT } from "./words.js";

const PLAY = { before: "before play", runs: "play", stopped: "PLAY STOPPED", break: "break", over: "over" };
const SKY = { clear: "clear", thin: "thin cloud", cloud_over_sun: "cloud over the sun", broken: "broken cloud", overcast: "overcast" };
const BEFORE_S = 1800;
const AFTER_S = 600;
let shown = null; // the camera that is open

function drawHead() {
  const { state } = day;
  if (!state) return;
  const ms = nowMs();
  setText(byId("title"), state.title);
  setText(byId("clock"), clockText(ms));
  setText(byId("play"), PLAY[state.play] ?? state.play);
  const next = state.moments.find((one) => !one.known);
  const left = next ? next.epoch_s - ms / 1000 : 0;
  setText(byId("next"), next ? `${next.name} ${clockText(next.epoch_s * 1000, false)}, ${left < 0 ? `${leftWords(left)}: enter it` : leftWords(left)}` : "");
  const lights = state.floodlights === null ? "" : `, floodlights ${state.floodlights ? "on" : "off"}`;
  setText(byId("sky"), `Sky ${SKY[state.sky]}${lights}`);
  setText(byId("forecast"), headWords(ms / 1000));
  setText(byId("cuts"), hardestWords());
  const off = offsetS();
  const words = day.lost ? "NO NETWORK: last plan, own clock" : day.refused ?? (state.planned === state.entry ? "" : "planning ...");
  setText(byId("link"), words || (off === null ? "" : `this screen's clock is ${Math.abs(off).toFixed(0)} s ${off > 0 ? "fast" : "slow"}`));
  byId("link").classList.toggle("lost", day.lost);
}

const draw = oncePerFrame(() => {
  drawHead();
  drawBar();
  drawTiles(byId("tiles"), open);
  if (shown !== null && byId("camera").open) drawCamera();
});

// ---- one camera ----

function open(k) {
  shown = k;
  const box = byId("camera");
  const { name } = day.plan.cameras[k];
  const said = day.state.cameras[k];
  const may = day.state.you.role === "lead" || (day.state.you.role === "operate" && day.plan.cameras[k].operator === day.state.you.name);
  const parts = [
    make("div", { class: "row" }, make("h2", { id: "camera-name", text: name }), make("span", { id: "camera-now" }), make("span", { id: "camera-expected" }), button("Close", () => box.close(), { class: "close" })),
    make("div", { class: "seen" },
      make("img", { id: "camera-picture", hidden: true }),
      make("div", {}, make("canvas", { id: "camera-chart", role: "img", "aria-label": "Iris in sun and in shade, half an hour back and ten minutes on" }),
        make("p", { text: "T-number in sun (full line) and in shade (dashed)" }))),
    make("h3", { text: "Next ten minutes" }), make("ul", { id: "camera-next" }),
    make("h3", { text: "Cuts to match now" }), make("ul", { id: "camera-cuts" }),
    make("h3", { text: "Iris so far" }), make("ul", { id: "camera-past" }),
  ];
  if (may) parts.push(...controls(k, name, said));
  box.replaceChildren(...parts);
  box.showModal();
  drawCamera();
  drawPicture(k);
  askCuts();
}

// What the camera sees, by the plan; kept out where there is nothing to see.
async function drawPicture(k) {
  const picture = byId("camera-picture");
  try {
    const svg = await getText("/api/day/picture", { camera: k });
    const words = new DOMParser().parseFromString(svg, "image/svg+xml").querySelector("title")?.textContent ?? "";
    if (shown !== k || !picture.isConnected) return;
    const url = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
    picture.addEventListener("load", () => URL.revokeObjectURL(url), { once: true });
    picture.src = url;
    picture.alt = words;
    picture.hidden = false;
  } catch {
    // the rest of the camera is there without it
  }
}

function controls(k, name, said) {
  const iris = make("input", { type: "number", step: "0.1", min: "0.7", max: "45", "aria-label": "T-number", placeholder: "T" });
  const light = make("select", { "aria-label": "Light" }, option("in sun", "sun"), option("in shade", "shade"), option("either", ""));
  const wheel = [...new Set([0, 2, 4, 6, ...day.plan.cameras[k].nd])].sort((a, b) => a - b);
  const nd = wheel.map((stops) => button(ndWords(stops), () => enter({ event: "nd", camera: name, nd_stops: stops }, `${name}: ${ndWords(stops)}`)));
  const others = day.plan.cameras.filter((one, other) => other !== k && !day.state.cameras[other].out).map((one) => option(one.name, one.name));
  const spare = make("select", { "aria-label": "Stand-in" }, option("a spare", "spare"), ...others);
  const ahead = day.state.moments.filter((one) => one.starts_play && !one.known);
  const when = make("select", { "aria-label": "From" }, option("now", ""), ...ahead.map((one) => option(`from ${one.name}`, String(one.moment))));
  const takesOver = () => {
    const from = when.value ? { from_moment: Number(when.value) } : {};
    send({ event: "camera_swapped", stand_in: spare.value, ...from }, `${spare.value} in its place ${when.selectedOptions[0].textContent}`);
  };
  const lens = make("input", { type: "number", step: "0.1", min: "0.2", max: "170", "aria-label": "Field of view, degrees", placeholder: "\u00b0" });
  const send = (what, words) => enter({ ...what, camera: name }, `${name}: ${words}`);
  return [
    make("h3", { text: "On the camera now" }),
    make("div", { class: "row" }, iris, light, button("Iris", () => iris.value && send({ event: "iris", t_number: Number(iris.value), ...(light.value ? { light: light.value } : {}) }, `T${iris.value}`)), ...nd),
    make("div", { class: "row" },
      said.out || said.stand_in ? button("Back", () => send({ event: "camera_back" }, "back")) : button("Out", () => send({ event: "camera_out" }, "out")),
      spare, when, button("Takes its place", takesOver),
      lens, button("Lens", () => lens.value && send({ event: "lens_changed", horizontal_fov_deg: Number(lens.value) }, `lens ${lens.value}\u00b0`))),
    ...moveParts(name, said),
  ];
}

function drawCamera() {
  const seconds = nowMs() / 1000;
  const tile = tileOf(shown, seconds);
  const split = tile.split === null ? "no edge" : `split ${tile.split.toFixed(1)} stops${tile.inShot ? "" : " (not in shot)"}`;
  setText(byId("camera-now"), [split, ndWords(tile.said.nd_stops ?? tile.nd)].join(", "));
  const expected = expectedLines(tile, seconds);
  setText(byId("camera-expected"), expected.length ? `By the forecast: ${expected.join(", ")}` : "");
  const next = day.plan.cues.filter((cue) => cue.cameras.includes(shown) && cue.epoch_s > seconds && cue.epoch_s < seconds + AFTER_S);
  list("camera-next", next.map((cue) => `${clockText(cue.epoch_s * 1000)} ${cue.what}${cue.key_action ? "" : " (to know)"}`), "nothing");
  const cuts = cutLines(shown);
  list("camera-cuts", cuts ?? [], cuts ? "none over a quarter of a stop" : "asking ...");
  const past = tile.said.readings.map(([at, t]) => {
    const i = minute(day.plan, at);
    const planned = [tile.camera.t_sun[i], tile.camera.t_shade[i]].filter(Boolean).map((value) => irisWords(value, tile.camera.t_lens[i]));
    return `${clockText(at * 1000)} T${t}; planned ${[...new Set(planned)].join(" / ")}`;
  });
  list("camera-past", past, "no readings");
  drawChart(byId("camera-chart"), tile.camera, seconds);
}

function list(id, lines, none) {
  const box = byId(id);
  const text = (lines.length ? lines : [none]).join("\n");
  if (box.dataset.text === text) return;
  box.dataset.text = text;
  box.replaceChildren(...text.split("\n").map((line) => make("li", { text: line })));
}

// T-numbers in stops over time: full line in sun, dashed in shade; the line is now.
function drawChart(canvas, camera, now) {
  const { clientWidth: width, clientHeight: height } = canvas;
  const ratio = Math.min(devicePixelRatio || 1, 2);
  if (canvas.width !== Math.round(width * ratio)) [canvas.width, canvas.height] = [Math.round(width * ratio), Math.round(height * ratio)];
  const pen = canvas.getContext("2d");
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  pen.clearRect(0, 0, width, height);
  const style = getComputedStyle(document.documentElement);
  const ink = (name) => style.getPropertyValue(`--${name}`);
  const [from, until] = [now - BEFORE_S, now + AFTER_S];
  const times = day.plan.epoch_s.map((at, i) => [at, i]).filter(([at]) => at >= from && at <= until);
  // as far as the lens goes
  const [sun, shade] = [camera.t_sun, camera.t_shade].map((all) => all.map((t, i) => t && setT(t, camera.t_lens[i])));
  const values = times.flatMap(([, i]) => [sun[i], shade[i]]).filter(Boolean).map(Math.log2);
  if (!values.length) return;
  const [low, high] = [Math.min(...values) - 0.2, Math.max(...values) + 0.2];
  const x = (at) => 44 + ((at - from) / (until - from)) * (width - 54);
  const y = (t) => height - 24 - ((Math.log2(t) - low) / (high - low)) * (height - 34);
  pen.font = "14px system-ui";
  pen.fillStyle = ink("soft");
  for (const t of [1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22]) {
    if (Math.log2(t) < low || Math.log2(t) > high) continue;
    pen.fillText(`T${t}`, 4, y(t) + 5);
    pen.fillRect(44, y(t), width - 54, 0.5);
  }
  for (let at = Math.ceil(from / 600) * 600; at <= until; at += 600) pen.fillText(clockText(at * 1000, false), Math.min(x(at) - 18, width - 38), height - 6);
  const line = (series, dash) => {
    pen.setLineDash(dash);
    pen.beginPath();
    let pending = true;
    for (const [at, i] of times) {
      if (!series[i]) {
        pending = true;
        continue;
      }
      pen[pending ? "moveTo" : "lineTo"](x(at), y(series[i]));
      pending = false;
    }
    pen.strokeStyle = ink("ink");
    pen.lineWidth = 3;
    pen.stroke();
    pen.setLineDash([]);
  };
  line(sun, []);
  line(shade, [8, 6]);
  pen.fillStyle = ink("now");
  pen.fillRect(x(now) - 1, 4, 2, height - 26);
}

// ---- letting screens in ----

async function openShare() {
  const box = byId("share");
  try {
    const { passes } = await get("/api/day/passes");
    const cards = passes.map((pass) => make("figure", {}, make("img", { src: pass.qr, alt: `QR picture of ${pass.url}` }),
      make("figcaption", {}, make("b", { text: pass.code }), make("div", { text: pass.words }), make("div", { text: pass.url }))));
    box.replaceChildren(make("div", { class: "row" }, make("h2", { text: "Let screens in" }), button("Close", () => box.close(), { class: "close" })), make("div", { class: "codes" }, ...cards));
    box.showModal();
  } catch (refusal) {
    say(refusal.message);
  }
}

document.documentElement.dataset.theme = matchMedia("(prefers-color-scheme: light)").matches ? "day" : "night";
byId("up").hidden = !base;
byId("title").addEventListener("click", openShare);
startKeys();
startData(draw);
const askCuts = startCuts(() => (byId("camera").open ? shown : null), draw);
setInterval(draw, 250);
