// Part 2 of 9: the plan from above, drawn by the functions that draw it on the live page.

const LEAST_PX = 340; // the plan may always be this tall
const AROUND_PX = 280; // height of header, legend and time bar, which are seen along with the plan
const MARKER_PX = 13; // radius of a camera's marker

let ink = {}; // the theme's colours, read from the style sheet
const view = { surface: null, frame: null, over: null, markers: [], shadows: [], stands: standsOf(data.stands), standing: data };

// What stands at an instant: another set of pieces from each move on.
function standingAt(index) {
  return (data.later ?? []).findLast((one) => one.from <= index) ?? data;
}

// Pieces by the thing that they belong to, which is named on its largest.
function standsOf(pieces) {
  const found = new Map();
  for (const piece of pieces) {
    if (!found.has(piece.name)) found.set(piece.name, { name: piece.name, kind: "stand", parts: [] });
    found.get(piece.name).parts.push(piece);
  }
  const area = ({ outline }) => Math.abs(outline.reduce((sum, [x, y], k) => {
    const [u, v] = outline[(k + 1) % outline.length];
    return sum + x * v - u * y;
  }, 0));
  for (const thing of found.values()) thing.outline = thing.parts.reduce((one, other) => (area(other) > area(one) ? other : one)).outline;
  return [...found.values()];
}

// Fits the ground into the width that there is and into the height that the time bar leaves.
function layPlan() {
  const canvas = byId("plan");
  const margin = MARKER_PX + 4;
  const points = [data.field.surrounds, ...data.stands.map((stand) => stand.outline), data.cameras.map((camera) => camera.at)].flat();
  const [wide, tall] = [0, 1].map((axis) => {
    const values = points.map((point) => point[axis]);
    return Math.max(...values) - Math.min(...values);
  });
  const width = contentWidth(canvas.parentElement);
  const room = Math.max(LEAST_PX, innerHeight - AROUND_PX) - HEAD_PX - 2 * margin;
  const scale = Math.min((width - 2 * margin) / wide, room / tall);
  view.surface = surfaceOf(canvas, width, Math.round(tall * scale + 2 * margin + HEAD_PX));
  view.frame = frameFor(points, width, view.surface.height, { margin });
  const limit = width - MARKER_PX - 2;
  view.markers = spreadApart(data.cameras.map((camera) => onScreen(view.frame, camera.at)), [], 2 * MARKER_PX + 3)
    .map(([x, y]) => [Math.min(Math.max(x, MARKER_PX + 2), limit), y]);
  layOver();
}

// What lies above the shadows changes only with size, theme or camera: drawn once, then copied.
function layOver() {
  view.over = make("canvas");
  const pen = fitCanvas(view.over, view.surface.width, view.surface.height);
  const cameras = data.cameras.map((camera) => ({ ...camera, frame: camera.cover[0] }));
  drawStanding(pen, view.frame, {
    ground: data.field, stands: view.stands, zones: data.field.zones,
    cameras, camera: state.camera, chosen: null, ghost: null, busy: view.markers,
  }, ink);
  drawMarkers(pen);
}

// Rings are flat lists of decimetres; they are unpacked once for each instant that is shown.
function shadowOf(index) {
  const metres = (ring) => Array.from({ length: ring.length / 2 }, (_, k) => [ring[2 * k] / 10, ring[2 * k + 1] / 10]);
  const [azimuth, elevation, shines] = data.sun[index];
  view.shadows[index] ??= {
    lit: true,
    shade: data.shadow[index].opaque.map(metres),
    dimmed: data.shadow[index].dimmed.map((region) => ({ rings: region.rings.map(metres) })),
    sun: { azimuth_deg: (azimuth - data.field.north_deg + 720) % 360, elevation_deg: elevation, up: Boolean(shines) },
  };
  return view.shadows[index];
}

// ---- what the live page has as buttons ----

function drawMarkers(pen) {
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.font = "700 14px system-ui, sans-serif";
  view.markers.forEach(([x, y], k) => {
    const chosen = k === state.camera;
    const [trueX, trueY] = onScreen(view.frame, data.cameras[k].at);
    pen.strokeStyle = ink.ink;
    pen.lineWidth = 1.5;
    pen.stroke(new Path2D(`M${trueX} ${trueY}L${x} ${y}`));
    pen.beginPath();
    pen.arc(x, y, MARKER_PX, 0, 7);
    pen.fillStyle = chosen ? ink.accent : ink.paper;
    pen.fill();
    pen.lineWidth = chosen ? 3 : 2;
    pen.stroke();
    pen.fillStyle = chosen ? ink.paper : ink.ink;
    pen.fillText(String(k + 1), x, y + 1);
  });
}

function drawPlace(pen) {
  if (!state.place) return;
  const [x, y] = onScreen(view.frame, state.place);
  pen.lineWidth = 5;
  pen.strokeStyle = ink.paper;
  const cross = new Path2D(`M${x - 11} ${y}h22M${x} ${y - 11}v22`);
  pen.stroke(cross);
  pen.lineWidth = 2.5;
  pen.strokeStyle = ink.ink;
  pen.stroke(cross);
}

// ---- each frame ----

function paintPlan() {
  const { pen, width, height } = view.surface;
  if (view.standing !== standingAt(state.index)) {
    view.standing = standingAt(state.index);
    view.stands = standsOf(view.standing.stands);
    layOver();
  }
  const scene = { ground: data.field, shadow: shadowOf(state.index) };
  drawLight(pen, view.frame, scene, ink);
  pen.drawImage(view.over, 0, 0, width, height);
  drawSun(pen, scene, ink);
  drawPlace(pen);
  setText(byId("plan-note"), planWords());
}

function planWords() {
  const share = data.shaded_share[state.index];
  const soft = data.penumbra_m[state.index];
  const percent = share > 1e-6 && share < 0.005 ? "Under 1" : `${Math.round(share * 100)}`;
  const shaded = share === null ? "" : `${percent}\u00a0% of the field is in shade. `;
  const edge = soft === null ? "" : `The edge is ${soft.toFixed(1)} m soft. `;
  return `${shaded}${edge}Tap the field for the sun at that place.`;
}

function startPlan() {
  byId("plan").setAttribute("aria-label", "Plan of the ground from above with its shadows. The text below it tells the share in shade.");
  painters.push(whenSeen(byId("plan"), paintPlan));
}
