// Part 5 of 9: the chosen camera's figures and its split over the time of the match.

let chart = null;

function cameraName(k) {
  return cameraTitle(k, data.cameras[k].name);
}

function figure(value, digits, before, after) {
  return value === null || value === undefined ? "\u2013" : `${before}${value.toFixed(digits)}${after}`;
}

function chooseCamera(k) {
  if (!data.cameras[k]) return;
  state.camera = k;
  for (const button of byId("camera-buttons").children) {
    button.setAttribute("aria-pressed", String(Number(button.dataset.camera) === k));
  }
  layOver(); // coverage and markers belong to the plan's still layer
  layEye();
  redrawAll();
}

// Where no more than a sliver of the picture is dimmed there is no T-number for it.
function dimmedWords(camera, k) {
  const t = camera.t_dimmed[k];
  const share = Math.round(100 * (camera.dimmed_share[k] ?? 0));
  return t === null ? "\u2013" : `${irisWords(t, camera.t_lens[k])}, ${share}\u00a0% of the picture`;
}

// What the forecast makes of the camera at one instant; nothing without one.
function expectedRows(camera, k) {
  const either = data.forecast?.cameras[data.cameras.indexOf(camera)];
  if (!either) return [];
  const [split, low, high] = either.split[k] ?? [];
  return [
    ["Split to be expected", split === undefined ? "no forecast" : `${split.toFixed(1)} stops (${low.toFixed(1)} to ${high.toFixed(1)})`],
    ["Set under cloud", irisWords(either.cloud_t[k], camera.t_lens[k])],
  ];
}

// [label, text] rows of the camera at one instant.
function figureRows(camera, k) {
  return [
    [`Split on ${data.field.surface}`, figure(camera.split_turf[k], 1, "", " stops")],
    ["Split on subject", figure(camera.split_subject[k], 1, "", " stops")],
    ["Set in sun", irisWords(camera.t_sun[k], camera.t_lens[k])],
    ["Set in shade", irisWords(camera.t_shade[k], camera.t_lens[k])],
    ["Set in dimmed light", dimmedWords(camera, k)],
    ["One iris for both", irisWords(camera.t_set[k], camera.t_lens[k])],
    ...expectedRows(camera, k),
    ["Filter", ndWords(camera.nd[k])],
    ["Sun to the lens", LENS[camera.lens[k]] ?? "\u2013"],
    ["Edge in shot", camera.in_shot[k] ? "yes" : "no"],
  ];
}

function paintCamera() {
  const camera = data.cameras[state.camera];
  if (!camera) return;
  const k = state.index;
  setText(byId("camera-title"), `Camera ${cameraName(state.camera)}, operator ${camera.operator}, at ${data.clock[k]}`);
  setText(byId("verdict"), VERDICTS[camera.verdict[k]] ?? "\u2013");
  byId("verdict").dataset.verdict = camera.verdict[k];
  setText(byId("hidden-words"), camera.hidden ? `${camera.hidden}.` : "");
  byId("hidden-words").hidden = !camera.hidden;
  const values = byId("figures").querySelectorAll("dd");
  figureRows(camera, k).forEach(([, text], row) => setText(values[row], text));
  drawChart(chart.pen, chart.width, camera, data.field.surface, instants, state.time, ink);
}

function layChart() {
  const canvas = byId("split-chart");
  chart = surfaceOf(canvas, contentWidth(canvas.parentElement), CHART_PX);
}

function startCamera() {
  data.cameras.forEach((camera, k) => {
    const button = make("button", "", cameraName(k));
    button.type = "button";
    button.dataset.camera = String(k);
    button.setAttribute("aria-pressed", String(k === state.camera));
    button.addEventListener("click", () => chooseCamera(k));
    byId("camera-buttons").append(button);
  });
  byId("split-chart").setAttribute("aria-label", "Split in stops over the time of the plan; the figures above give the chosen time.");
  if (!data.cameras.length) return;
  for (const [label] of figureRows(data.cameras[0], 0)) {
    const pair = make("div");
    pair.append(make("dt", "", label), make("dd"));
    byId("figures").append(pair);
  }
  painters.push(paintCamera);
}
