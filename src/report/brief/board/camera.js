// Part 4 of 8: the chosen camera's figures and its split over the time of the match.

const CHART_HEIGHT = 132;
const CHART_EDGE = { left: 30, right: 8, top: 10, low: 34 };

const VERDICT_WORDS = {
  hold: "One iris for both",
  ride: "Ride the iris",
  choose: "Expose for sun or for shade",
  none: "Nothing to do: no edge in the picture",
};

const LENS_WORDS = {
  clear: "behind, off the lens",
  shaded: "ahead, but the lens is in shade",
  on_element: "flare: on the front element",
  in_frame: "in frame",
};

let chart = null;

// Whole stops as the wheel is marked.
function ndWords(stops) {
  if (!stops) return "no ND";
  return Number.isInteger(stops) ? `ND 1/${2 ** stops}` : `ND ${stops} stops`;
}

function cameraName(k) {
  const { name } = data.cameras[k];
  return name.startsWith(`${k + 1} `) ? name : `${k + 1} ${name}`;
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
  layOver(); // cover and markers belong to the plan's still layer
  layEye();
  redrawAll();
}

// Where no more than a sliver of the picture is dimmed there is no T-number for it.
function dimmedWords(camera, k) {
  const t = camera.t_dimmed[k];
  const share = Math.round(100 * (camera.dimmed_share[k] ?? 0));
  return t === null ? "\u2013" : `T${t.toFixed(1)}, ${share} % of the picture`;
}

// [label, text] rows of the camera at one instant.
function figureRows(camera, k) {
  const steady = ndWords(camera.nd[k]);
  return [
    ["Split on turf", figure(camera.split_turf[k], 1, "", " stops")],
    ["Split on subject", figure(camera.split_subject[k], 1, "", " stops")],
    ["Set in sun", figure(camera.t_sun[k], 1, "T", "")],
    ["Set in shade", figure(camera.t_shade[k], 1, "T", "")],
    ["Set in dimmed light", dimmedWords(camera, k)],
    ["One iris for both", figure(camera.t_set[k], 1, "T", "")],
    ["Filter", camera.nd[k] === null ? "\u2013" : steady],
    ["Sun to the lens", LENS_WORDS[camera.lens[k]] ?? "\u2013"],
    ["Edge in shot", camera.in_shot[k] ? "yes" : "no"],
  ];
}

function paintCamera() {
  const camera = data.cameras[state.camera];
  if (!camera) return;
  const k = state.index;
  setText(byId("camera-title"), `Camera ${cameraName(state.camera)}, operator ${camera.operator}, at ${data.clock[k]}`);
  setText(byId("verdict"), VERDICT_WORDS[camera.verdict[k]] ?? "\u2013");
  byId("verdict").dataset.verdict = camera.verdict[k];
  const values = byId("figures").querySelectorAll("dd");
  figureRows(camera, k).forEach(([, text], row) => setText(values[row], text));
  paintChart(camera);
}

function layChart() {
  const canvas = byId("split-chart");
  chart = fitCanvas(canvas, contentWidth(canvas.parentElement), CHART_HEIGHT);
}

function chartScale(camera) {
  const known = [...camera.split_turf, ...camera.split_subject].filter((value) => value !== null);
  const top = Math.max(2, Math.ceil(Math.max(0, ...known)));
  const across = chart.width - CHART_EDGE.left - CHART_EDGE.right;
  const down = chart.height - CHART_EDGE.top - CHART_EDGE.low;
  return {
    top,
    x: (epoch) => CHART_EDGE.left + timeShare(epoch) * across,
    y: (stops) => CHART_EDGE.top + (1 - stops / top) * down,
  };
}

function drawChartGrid(scale) {
  const { pen, width } = chart;
  pen.font = "12px system-ui, sans-serif";
  pen.textAlign = "right";
  pen.textBaseline = "middle";
  pen.fillStyle = ink.soft;
  pen.strokeStyle = ink.line;
  pen.lineWidth = 0.5;
  for (let stops = 0; stops <= scale.top; stops += scale.top > 5 ? 2 : 1) {
    pen.stroke(new Path2D(`M${CHART_EDGE.left} ${scale.y(stops)}H${width - CHART_EDGE.right}`));
    pen.fillText(String(stops), CHART_EDGE.left - 6, scale.y(stops));
  }
}

// A line that breaks where there is no value.
function drawSplit(scale, values, dash) {
  const path = new Path2D();
  let open = false;
  values.forEach((value, k) => {
    if (value !== null) path[open ? "lineTo" : "moveTo"](scale.x(instants[k]), scale.y(value));
    open = value !== null;
  });
  chart.pen.setLineDash(dash);
  chart.pen.stroke(path);
  chart.pen.setLineDash([]);
}

// The bar beneath the lines: where the edge is in this camera's cover.
function drawInShot(scale, inShot) {
  const low = chart.height - CHART_EDGE.low + 5;
  chart.pen.fillStyle = ink["shade-line"];
  for (let k = 0; k < lastIndex; k += 1) {
    const left = scale.x(instants[k]);
    if (inShot[k]) chart.pen.fillRect(left, low, scale.x(instants[k + 1]) - left + 0.5, 6);
  }
}

function paintChart(camera) {
  const { pen, width, height } = chart;
  pen.fillStyle = ink.paper;
  pen.fillRect(0, 0, width, height);
  const scale = chartScale(camera);
  drawChartGrid(scale);
  pen.strokeStyle = ink.accent;
  pen.lineWidth = 2.5;
  drawSplit(scale, camera.split_turf, []);
  pen.strokeStyle = ink.cover;
  pen.lineWidth = 2;
  drawSplit(scale, camera.split_subject, [5, 4]);
  drawInShot(scale, camera.in_shot);
  const now = scale.x(state.time);
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 2;
  pen.stroke(new Path2D(`M${now} ${CHART_EDGE.top - 6}V${height - CHART_EDGE.low + 12}`));
  drawChartKey();
}

function drawChartKey() {
  const { pen, height } = chart;
  const y = height - 9;
  pen.textAlign = "left";
  pen.fillStyle = ink.ink;
  pen.lineWidth = 2.5;
  let x = CHART_EDGE.left;
  for (const [text, colour, dash] of [["turf", ink.accent, []], ["subject", ink.cover, [5, 4]], ["bar: edge in shot", null, []]]) {
    if (colour) {
      pen.strokeStyle = colour;
      pen.setLineDash(dash);
      pen.stroke(new Path2D(`M${x} ${y}h20`));
      x += 25;
    }
    pen.fillText(text, x, y);
    x += pen.measureText(text).width + 14;
  }
  pen.setLineDash([]);
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
