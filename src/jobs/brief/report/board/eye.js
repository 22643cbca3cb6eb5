// Part 7 of 9: the camera's-eye view, a true perspective picture in video tones.

const NEAR_M = 0.5; // nothing nearer than this is drawn
const GUARD = 1.5; // shapes are cut this many half-pictures out, so that no coordinate grows huge
const LINE_HALF_M = 0.06; // field lines are 12 cm wide
const LINE_GAIN = 2.6; // chalk against turf: our estimate, for the drawing only
const FACE_EDGE = "rgb(0 0 0 / 30%)";
const FIGURE_M = 1.8;
// Legs, trunk and arms as [left, top, width, height] in shares of the figure's height, feet at 0.
const FIGURE_PARTS = [
  [-0.1, 0.5, 0.085, 0.5],
  [0.015, 0.5, 0.085, 0.5],
  [-0.115, 0.84, 0.23, 0.38],
  [-0.175, 0.83, 0.06, 0.38],
  [0.115, 0.83, 0.06, 0.38],
];
const SUN_RADIUS = 0.00465; // of the sun's disc, in radians

// Linear colour of each surface (scaled below to keep its level) and its tone against the seats.
// The plan gives levels for turf, seats and sky only; the other tones are for the drawing alone.
const SURFACES = {
  turf: { tint: data.field.tint, tone: 1 },
  ground: { tint: [1, 1, 1], tone: 0.6 },
  sky: { tint: [0.8, 1, 1.35], tone: 1 },
  seats: { tint: [0.95, 1, 1.1], tone: 1 },
  roof: { tint: [1, 1, 1], tone: 1.2 },
  wall: { tint: [1.05, 1, 0.9], tone: 1.1 },
  solid: { tint: [1, 1, 1], tone: 0.8 },
  crown: { tint: [0.8, 1.05, 0.6], tone: 0.5 },
  panel: { tint: [0.9, 1, 1.1], tone: 0.9 },
};

const eye = { surface: null, lens: null, aim: null, faces: [], turf: null, lines: null, horizon: 0 };

// ---- tones ----

// The BT.709 transfer curve, from linear light to the video signal, cut at white.
function videoSignal(light) {
  const signal = light < 0.018 ? 4.5 * light : 1.099 * light ** 0.45 - 0.099;
  return Math.min(1, Math.max(0, signal));
}

function tone(level, surface) {
  const [red, green, blue] = SURFACES[surface].tint;
  const luma = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  const parts = [red, green, blue].map((part) => Math.round(255 * videoSignal((level * part) / luma)));
  return `rgb(${parts.join(" ")})`;
}

function mix(shade, sun, light) {
  return shade + (sun - shade) * light;
}

// ---- ground ----

// Height of the ground over the plane of the field: that of the nearest points of the grid.
function groundHeight(x, y) {
  const grid = data.field.heights;
  if (!grid) return 0;
  const rows = grid.up_cm.length / grid.columns;
  const within = (value, count) => Math.min(count - 1.001, Math.max(0, value));
  const u = within((x - grid.from[0]) / grid.step_m, grid.columns);
  const v = within((y - grid.from[1]) / grid.step_m, rows);
  const first = Math.floor(v) * grid.columns + Math.floor(u);
  const row = (from) => mix(grid.up_cm[from], grid.up_cm[from + 1], u % 1);
  return mix(row(first), row(first + grid.columns), v % 1) / 100;
}

function overGround([x, y], up) {
  return [x, y, groundHeight(x, y) + up];
}

// A ring laid onto the ground, with corners as near to each other as heights are known.
function laid(ring) {
  const grid = data.field.heights;
  if (!grid) return ring.map((point) => overGround(point, 0));
  return ring.flatMap((point, k) => {
    const next = ring[(k + 1) % ring.length];
    const steps = Math.max(1, Math.ceil(Math.hypot(next[0] - point[0], next[1] - point[1]) / grid.step_m));
    const at = (step) => point.map((part, axis) => mix(part, next[axis], step / steps));
    return Array.from({ length: steps }, (_, step) => overGround(at(step), 0));
  });
}

// ---- lens: world to picture ----

function makeLens(camera, aim, width, height) {
  const forward = unit(minus(overGround(aim, FIGURE_M / 2), camera.at));
  const right = unit(cross(forward, [0, 0, 1]));
  const up = cross(right, forward);
  const focal = width / 2 / Math.tan((camera.hfov_deg * Math.PI) / 360);
  const [sideX, sideY] = [(GUARD * width) / 2 / focal, (GUARD * height) / 2 / focal];
  // Each plane keeps what has a*x + b*y + c*z >= d, in eye axes (right, up, depth).
  const planes = [[0, 0, 1, NEAR_M], [1, 0, sideX, 0], [-1, 0, sideX, 0], [0, 1, sideY, 0], [0, -1, sideY, 0]];
  return { at: camera.at, forward, right, up, focal, planes, midX: width / 2, midY: height / 2 };
}

function toEye(lens, point) {
  const from = minus(point, lens.at);
  return [dot(from, lens.right), dot(from, lens.up), dot(from, lens.forward)];
}

function toPicture(lens, [x, y, depth]) {
  return [lens.midX + (lens.focal * x) / depth, lens.midY - (lens.focal * y) / depth];
}

// Cuts one polygon at one plane, edge by edge.
function cutAtPlane(points, [a, b, c, d]) {
  const kept = [];
  points.forEach((point, k) => {
    const next = points[(k + 1) % points.length];
    const here = a * point[0] + b * point[1] + c * point[2] - d;
    const there = a * next[0] + b * next[1] + c * next[2] - d;
    if (here >= 0) kept.push(point);
    if (here >= 0 === there >= 0) return;
    const share = here / (here - there);
    kept.push(point.map((part, axis) => part + share * (next[axis] - part)));
  });
  return kept;
}

// Adds a world polygon to a path in the picture, cut to what the lens can see; tells if any is left.
function addPolygon(path, lens, corners) {
  let points = corners.map((corner) => toEye(lens, corner));
  for (const plane of lens.planes) {
    points = cutAtPlane(points, plane);
  }
  points.forEach((point, k) => path[k ? "lineTo" : "moveTo"](...toPicture(lens, point)));
  if (points.length) path.closePath();
  return points.length > 0;
}

function groundRings(lens, rings) {
  const path = new Path2D();
  for (const ring of rings) {
    const corners = [];
    for (let k = 0; k < ring.length; k += 2) corners.push([ring[k] / 10, ring[k + 1] / 10]);
    addPolygon(path, lens, laid(corners));
  }
  return path;
}

// Lines as thin quads on the ground: their width then shrinks with distance as it should.
function linePath(lens) {
  const path = new Path2D();
  for (const line of data.field.lines) {
    for (let k = 1; k < line.length; k += 1) {
      const [a, b] = [line[k - 1], line[k]];
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
      const [x, y] = [((a[1] - b[1]) / length) * LINE_HALF_M, ((b[0] - a[0]) / length) * LINE_HALF_M];
      addPolygon(path, lens, laid([[a[0] + x, a[1] + y], [b[0] + x, b[1] + y], [b[0] - x, b[1] - y], [a[0] - x, a[1] - y]]));
    }
  }
  return path;
}

// ---- what stays while only the time moves ----

function aimAt(camera, pan) {
  const first = camera.aims[Math.floor(pan)];
  const next = camera.aims[Math.min(Math.floor(pan) + 1, camera.aims.length - 1)];
  return [0, 1].map((axis) => mix(first[axis], next[axis], pan % 1));
}

function layEye() {
  const camera = data.cameras[state.camera];
  const known = Boolean(camera?.aims.length);
  byId("eye").hidden = byId("pan-field").hidden = !known;
  if (!known) {
    eye.lens = null;
    byId("aim-buttons").replaceChildren();
    setText(byId("eye-note"), "No aim is given for this camera.");
    return;
  }
  const width = contentWidth(byId("eye").parentElement);
  eye.surface = surfaceOf(byId("eye"), width, Math.round(width / camera.aspect));
  layAims(camera);
  aimLens();
}

function layAims(camera) {
  const box = byId("aim-buttons");
  box.replaceChildren();
  camera.aims.forEach((aim, k) => {
    const button = make("button", "", `Aim ${k + 1}: ${placeName(aim)}`);
    button.type = "button";
    button.addEventListener("click", () => {
      byId("pan").value = k;
      aimLens();
    });
    box.append(button);
  });
  byId("pan").max = camera.aims.length - 1;
  byId("pan").value = 0;
  byId("pan-field").hidden = camera.aims.length < 2;
}

function aimLens() {
  const camera = data.cameras[state.camera];
  const pan = Number(byId("pan").value);
  eye.aim = aimAt(camera, pan);
  const lens = makeLens(camera, eye.aim, eye.surface.width, eye.surface.height);
  eye.lens = lens;
  [...byId("aim-buttons").children].forEach((button, k) => button.setAttribute("aria-pressed", String(k === pan)));
  eye.turf = new Path2D();
  addPolygon(eye.turf, lens, laid(data.field.surrounds));
  eye.lines = linePath(lens);
  eye.horizon = lens.midY + (lens.focal * lens.forward[2]) / Math.hypot(lens.forward[0], lens.forward[1]);
  eye.faces = sortFaces(lens);
  redrawAll();
}

// Far to near; the figure takes its place in the same order, so that a near stand hides it.
function sortFaces(lens) {
  const items = [{ face: -1, far: Math.hypot(...minus(overGround(eye.aim, 0), lens.at)) }];
  solids.forEach((face, k) => {
    const path = new Path2D();
    if (addPolygon(path, lens, face.corners)) items.push({ face: k, path, far: Math.hypot(...minus(face.centre, lens.at)) });
  });
  return items.sort((one, other) => other.far - one.far);
}

// ---- each frame ----

function paintEye() {
  if (!eye.lens) return;
  const { pen, width, height } = eye.surface;
  if (eye.standing !== standingAt(state.index)) {
    eye.standing = standingAt(state.index);
    solids = eye.standing.faces.map(describeFace);
    eye.faces = sortFaces(eye.lens);
  }
  const level = data.cameras[state.camera].level[state.index];
  setText(byId("eye-note"), levelWords(level));
  if (!level) {
    pen.fillStyle = ink.stand;
    pen.fillRect(0, 0, width, height);
    return;
  }
  const [sun, shade] = level;
  const ground = data.sun[state.index][2] ? sun : shade;
  pen.fillStyle = tone(level[4], "sky");
  pen.fillRect(0, 0, width, height);
  drawSunDisc(pen);
  pen.fillStyle = tone(ground, "ground");
  pen.fillRect(0, eye.horizon, width, Math.max(0, height - eye.horizon));
  drawTurf(pen, ground);
  drawShadows(pen, sun, shade);
  drawFaces(pen, level);
}

function levelWords(level) {
  if (!level) return "No setting at this time, so no picture.";
  const { faces } = eye.standing;
  const names = [`${data.field.surface} in sun`, `${data.field.surface} in shade`, "seats in sun", "seats in shade", "sky"];
  const there = (name) => !name.startsWith("seats") || faces.some((face) => face.tone === "seats");
  const words = names.map((name, k) => [name, level[k]]).filter(([name]) => there(name))
    .map(([name, value]) => `${name} ${Math.round(100 * videoSignal(value))}\u00a0%${value >= 1 ? " (clips)" : ""}`);
  return `Video signal at the set T-number: ${words.join(", ")}. ` +
    (faces.length ? "Each face of what stands there is toned whole, by the light at its middle. " : "") +
    (data.faces_left_out ? `${data.faces_left_out} small faces of meshes are left out. ` : "") +
    "The figure is 1.8 m tall.";
}

function drawSunDisc(pen) {
  const toSun = sunDirection(state.index);
  const seen = [dot(toSun, eye.lens.right), dot(toSun, eye.lens.up), dot(toSun, eye.lens.forward)];
  if (!data.sun[state.index][2] || seen[2] <= 0.01) return;
  const [x, y] = toPicture(eye.lens, seen);
  const radius = Math.max(3, eye.lens.focal * SUN_RADIUS);
  pen.fillStyle = "#ffffff";
  pen.beginPath();
  pen.arc(x, y, radius, 0, 7);
  pen.fill();
  // A ring and a word, since a white sun on a white sky is not to be seen.
  pen.strokeStyle = pen.fillStyle = "#000000";
  pen.lineWidth = 1.5;
  pen.setLineDash([4, 3]);
  pen.beginPath();
  pen.arc(x, y, radius + 5, 0, 7);
  pen.stroke();
  pen.setLineDash([]);
  pen.font = "600 12px system-ui, sans-serif";
  pen.textAlign = "left";
  pen.textBaseline = "middle";
  pen.fillText("sun", x + radius + 9, y);
}

function drawTurf(pen, level) {
  pen.fillStyle = tone(level, "turf");
  pen.fill(eye.turf);
  drawLines(pen, level);
}

function drawLines(pen, level) {
  pen.fillStyle = pen.strokeStyle = tone(level * LINE_GAIN, "ground");
  pen.lineWidth = 0.7; // keeps far lines from fading out altogether
  pen.fill(eye.lines);
  pen.stroke(eye.lines);
}

// Inside a shadow's outline the same ground, turf and lines are drawn again, darker.
function drawShadows(pen, sun, shade) {
  const { opaque, dimmed } = data.shadow[state.index];
  const regions = [...dimmed, { passes: 0, rings: opaque }];
  for (const { passes, rings } of regions) {
    const level = mix(shade, sun, passes);
    pen.save();
    pen.clip(groundRings(eye.lens, rings), "evenodd");
    pen.fillStyle = tone(level, "ground");
    pen.fillRect(0, eye.horizon, eye.surface.width, Math.max(0, eye.surface.height - eye.horizon));
    drawTurf(pen, level);
    pen.restore();
  }
}

function drawFaces(pen, [sun, shade, seatsSun, seatsShade]) {
  const lights = lightOnFaces(state.index);
  const toSun = sunDirection(state.index);
  const tones = new Map(); // few faces differ in tone: each tone is worked out once
  for (const item of eye.faces) {
    if (item.face < 0) {
      drawFigure(pen, sun, shade);
      continue;
    }
    const face = solids[item.face];
    const light = seenLight(face, lights[item.face], eye.lens.at, toSun);
    const key = `${face.tone} ${light}`;
    if (!tones.has(key)) tones.set(key, faceTone(face.tone, mix(seatsShade, seatsSun, light)));
    pen.fillStyle = tones.get(key);
    pen.strokeStyle = FACE_EDGE;
    pen.lineWidth = 0.7;
    pen.fill(item.path);
    pen.stroke(item.path);
  }
}

function faceTone(surface, level) {
  const known = SURFACES[surface] ? surface : "solid";
  return tone(level * SURFACES[known].tone, known);
}

function drawFigure(pen, sun, shade) {
  const foot = toEye(eye.lens, overGround(eye.aim, 0));
  const head = toEye(eye.lens, overGround(eye.aim, FIGURE_M));
  if (foot[2] < NEAR_M || head[2] < NEAR_M) return;
  const [x, low] = toPicture(eye.lens, foot);
  const tall = low - toPicture(eye.lens, head)[1];
  const level = mix(shade, sun, lightAt(eye.aim, state.index) ?? 0);
  pen.fillStyle = tone(level * 1.6, "ground");
  pen.strokeStyle = "#000000"; // a dark rim shows the figure against bright turf
  pen.lineWidth = 2;
  const figure = new Path2D();
  for (const [left, top, wide, high] of FIGURE_PARTS) {
    figure.roundRect(x + left * tall, low - top * tall, wide * tall, high * tall, 0.04 * tall);
  }
  figure.moveTo(x + tall * 0.07, low - tall * 0.93);
  figure.arc(x, low - tall * 0.93, tall * 0.07, 0, 7);
  pen.stroke(figure);
  pen.fill(figure);
}

function startEye() {
  eye.standing = standingAt(state.index);
  solids = eye.standing.faces.map(describeFace);
  byId("pan").addEventListener("input", aimLens);
  byId("eye").setAttribute("aria-label", "Perspective picture from the chosen camera. The text below it tells the levels.");
  painters.push(whenSeen(byId("eye"), paintEye));
}
