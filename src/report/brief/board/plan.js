// Part 2 of 8: the plan from above.

const HEAD_PX = 58; // strip above the plan for north, light and scale
const LEAST_PX = 340; // the plan may always be this tall
const AROUND_PX = 280; // height of header, legend and time bar, which are seen along with the plan
const MARKER_PX = 13; // radius of a camera's marker

let ink = {}; // the theme's colours, read from the style sheet
const view = { surface: null, scale: 1, x0: 0, y0: 0, over: null, markers: [], paths: [], hatch: {} };

const INK_NAMES = ["paper", "ink", "soft", "line", "sun", "shade", "shade-line", "dim", "dim-line", "accent", "cover", "stand",
  "roof"];

function readInk() {
  const style = getComputedStyle(document.documentElement);
  ink = Object.fromEntries(INK_NAMES.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
}

function onScreen([along, across]) {
  return [view.x0 + along * view.scale, view.y0 - across * view.scale];
}

function planBounds() {
  const points = [data.field.surrounds, ...data.stands.map((stand) => stand.outline)].flat();
  points.push(...data.cameras.map((camera) => camera.at));
  const alongs = points.map((point) => point[0]);
  const acrosses = points.map((point) => point[1]);
  return [Math.min(...alongs), Math.min(...acrosses), Math.max(...alongs), Math.max(...acrosses)];
}

// Fits the ground into the width that there is and into the height that the time bar leaves.
function layPlan() {
  const canvas = byId("plan");
  const margin = MARKER_PX + 4;
  const [left, low, right, high] = planBounds();
  const width = contentWidth(canvas.parentElement);
  const wide = (width - 2 * margin) / (right - left);
  const tall = (Math.max(LEAST_PX, innerHeight - AROUND_PX) - HEAD_PX - 2 * margin) / (high - low);
  view.scale = Math.min(wide, tall);
  view.surface = fitCanvas(canvas, width, Math.round((high - low) * view.scale + 2 * margin + HEAD_PX));
  view.x0 = width / 2 - ((left + right) / 2) * view.scale;
  view.y0 = HEAD_PX + margin + high * view.scale;
  view.paths = [];
  view.markers = spreadMarkers(data.cameras.map((camera) => onScreen(camera.at)));
  view.hatch = { shade: hatch(ink.shade, ink["shade-line"], true), dim: hatch(ink.dim, ink["dim-line"], false) };
  layOver();
}

// Cameras often stand side by side on one gantry: push markers apart so that each can be tapped.
function spreadMarkers(points) {
  const spread = points.map((point) => [...point]);
  for (let round = 0; round < 30; round += 1) {
    for (let a = 0; a < spread.length; a += 1) {
      for (let b = a + 1; b < spread.length; b += 1) pushApart(spread[a], spread[b]);
    }
  }
  const limit = view.surface.width - MARKER_PX - 2;
  return spread.map(([x, y]) => [Math.min(Math.max(x, MARKER_PX + 2), limit), y]);
}

function pushApart(one, two) {
  const dx = two[0] - one[0] || 0.1;
  const dy = two[1] - one[1];
  const apart = Math.hypot(dx, dy);
  const push = (2 * MARKER_PX + 3 - apart) / 2;
  if (push <= 0) return;
  one[0] -= (dx / apart) * push;
  one[1] -= (dy / apart) * push;
  two[0] += (dx / apart) * push;
  two[1] += (dy / apart) * push;
}

// Shade is striped and dimmed is dotted, so that colour is never the only sign.
function hatch(ground, mark, striped) {
  const tile = make("canvas");
  tile.width = tile.height = 8;
  const pen = tile.getContext("2d");
  pen.fillStyle = ground;
  pen.fillRect(0, 0, 8, 8);
  pen.strokeStyle = pen.fillStyle = mark;
  pen.lineWidth = 1.4;
  pen.beginPath();
  if (striped) {
    for (const shiftX of [-8, 0, 8]) {
      pen.moveTo(shiftX - 1, 9);
      pen.lineTo(shiftX + 9, -1);
    }
    pen.stroke();
  } else {
    pen.arc(2, 2, 1.1, 0, 7);
    pen.arc(6, 6, 1.1, 0, 7);
    pen.fill();
  }
  return pen.createPattern(tile, "repeat");
}

function outlinePath(points, closed) {
  const path = new Path2D();
  points.forEach((point, k) => path[k ? "lineTo" : "moveTo"](...onScreen(point)));
  if (closed) path.closePath();
  return path;
}

function ringsPath(rings) {
  const path = new Path2D();
  for (const ring of rings) {
    for (let k = 0; k < ring.length; k += 2) {
      path[k ? "lineTo" : "moveTo"](...onScreen([ring[k] / 10, ring[k + 1] / 10]));
    }
    path.closePath();
  }
  return path;
}

// Paths are made once per instant and size, then reused for each frame of a drag.
function shadowPaths(index) {
  view.paths[index] ??= {
    opaque: ringsPath(data.shadow[index].opaque),
    dimmed: data.shadow[index].dimmed.map((region) => ringsPath(region.rings)),
  };
  return view.paths[index];
}

// What lies above the shadows changes only with size, theme or camera: drawn once, then copied.
function layOver() {
  const { width, height, ratio } = view.surface;
  view.over = make("canvas");
  view.over.width = Math.round(width * ratio);
  view.over.height = Math.round(height * ratio);
  const pen = view.over.getContext("2d");
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  drawField(pen);
  drawStands(pen);
  drawCover(pen);
  drawMarkers(pen);
  drawNorth(pen);
  drawScale(pen);
}

function drawField(pen) {
  pen.strokeStyle = ink.soft;
  pen.lineWidth = 1;
  pen.setLineDash([2, 4]);
  for (const zone of data.field.zones) pen.stroke(outlinePath(zone.outline, true));
  pen.setLineDash([]);
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 1.4;
  for (const line of data.field.lines) pen.stroke(outlinePath(line, false));
  pen.stroke(outlinePath(data.field.playing_area, true));
  pen.lineWidth = 2;
  pen.stroke(outlinePath(data.field.outline, true));
  pen.fillStyle = ink.ink;
  for (const mark of data.field.marks) {
    const [x, y] = onScreen(mark.at);
    pen.fillRect(x - 1.5, y - 1.5, 3, 3);
  }
}

function drawStands(pen) {
  pen.lineWidth = 1;
  pen.strokeStyle = ink.line;
  for (const stand of data.stands) {
    const path = outlinePath(stand.outline, true);
    pen.globalAlpha = stand.passes > 0 ? 0.5 : 1; // what lets light through is drawn thin
    pen.fillStyle = stand.part === "roof" || stand.part === "crown" ? ink.roof : ink.stand;
    pen.fill(path);
    pen.globalAlpha = 1;
    pen.stroke(path);
  }
  const named = new Map(); // one label per stand, on its largest part
  for (const stand of data.stands) {
    const box = boundsOnScreen(stand.outline);
    if (box.area > (named.get(stand.name)?.area ?? 0)) named.set(stand.name, box);
  }
  for (const [name, box] of named) drawStandName(pen, name, box);
}

function boundsOnScreen(outline) {
  const points = outline.map(onScreen);
  const xs = points.map((point) => point[0]);
  const ys = points.map((point) => point[1]);
  const [left, top, right, low] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  const [width, height] = [right - left, low - top];
  return { x: left + width / 2, y: top + height / 2, width, height, area: width * height };
}

function drawStandName(pen, name, box) {
  pen.font = "600 12px system-ui, sans-serif";
  const upright = box.height > box.width;
  const length = pen.measureText(name).width;
  const spare = Math.max(box.width, box.height) - length - 8;
  if (spare < 0) return;
  // The middle if no camera's marker is there, else the first free spot along the stand.
  const spots = [0, -0.5, 0.5, -0.25, 0.25].map((share) => (upright ? [box.x, box.y + share * spare] : [box.x + share * spare, box.y]));
  const free = ([x, y]) => view.markers.every((marker) => {
    const [along, across] = upright ? [marker[1] - y, marker[0] - x] : [marker[0] - x, marker[1] - y];
    return Math.abs(along) > length / 2 + MARKER_PX || Math.abs(across) > MARKER_PX + 9;
  });
  pen.save();
  pen.translate(...(spots.find(free) ?? spots[0]));
  if (upright) pen.rotate(-Math.PI / 2);
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillStyle = ink.ink;
  pen.fillText(name, 0, 0);
  pen.restore();
}

function drawCover(pen) {
  const camera = data.cameras[state.camera];
  pen.setLineDash([10, 5]);
  for (const ring of camera?.cover ?? []) {
    const path = outlinePath(ring, true);
    pen.strokeStyle = ink.paper; // a pale rim keeps the line clear of lines beneath it
    pen.lineWidth = 5;
    pen.stroke(path);
    pen.strokeStyle = ink.cover;
    pen.lineWidth = 2.5;
    pen.stroke(path);
  }
  pen.setLineDash([]);
}

function drawMarkers(pen) {
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.font = "700 14px system-ui, sans-serif";
  view.markers.forEach(([x, y], k) => {
    const chosen = k === state.camera;
    const [trueX, trueY] = onScreen(data.cameras[k].at);
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

// An arrow from tail to tip in plan axes turned `clockwise` degrees from the field's along axis.
function drawArrow(pen, x, y, length, clockwise) {
  const turn = (clockwise * Math.PI) / 180;
  pen.save();
  pen.translate(x, y);
  pen.rotate(turn);
  pen.stroke(new Path2D(`M${-length / 2} 0H${length / 2 - 6}`));
  pen.fill(new Path2D(`M${length / 2} 0l-12 -6v12z`));
  pen.restore();
}

function drawNorth(pen) {
  pen.strokeStyle = pen.fillStyle = ink.ink;
  pen.lineWidth = 2.5;
  drawArrow(pen, 26, 29, 34, data.field.north_deg);
  const turn = (data.field.north_deg * Math.PI) / 180;
  pen.font = "700 12px system-ui, sans-serif";
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillText("N", 26 + 23 * Math.cos(turn), 29 + 23 * Math.sin(turn));
}

function drawScale(pen) {
  const metres = [50, 20, 10, 5].find((length) => length * view.scale < 90) ?? 5;
  const right = view.surface.width - 10;
  const left = right - metres * view.scale;
  pen.strokeStyle = pen.fillStyle = ink.ink;
  pen.lineWidth = 2;
  pen.stroke(new Path2D(`M${left} 32v8H${right}v-8`));
  pen.font = "13px system-ui, sans-serif";
  pen.textAlign = "right";
  pen.textBaseline = "alphabetic";
  pen.fillText(`${metres} m`, right, 26);
}

// ---- each frame ----

function sunWords(index) {
  const [azimuth, elevation, shines] = data.sun[index];
  if (!shines) return ["No sun", ""];
  const trueBearing = (azimuth - data.field.north_deg + 720) % 360;
  return [`Sun from ${Math.round(trueBearing)}\u00b0`, `${elevation.toFixed(1)}\u00b0 high`];
}

function drawLight(pen) {
  const [azimuth, , shines] = data.sun[state.index];
  pen.strokeStyle = pen.fillStyle = ink.cover;
  pen.lineWidth = 4;
  if (shines) drawArrow(pen, 82, 29, 40, azimuth + 180); // light runs away from the sun
  pen.fillStyle = ink.ink;
  pen.font = "600 14px system-ui, sans-serif";
  pen.textAlign = "left";
  pen.textBaseline = "alphabetic";
  sunWords(state.index).forEach((line, k) => pen.fillText(line, 112, 25 + 18 * k));
}

function drawPlace(pen) {
  if (!state.place) return;
  const [x, y] = onScreen(state.place);
  pen.lineWidth = 5;
  pen.strokeStyle = ink.paper;
  const cross = new Path2D(`M${x - 11} ${y}h22M${x} ${y - 11}v22`);
  pen.stroke(cross);
  pen.lineWidth = 2.5;
  pen.strokeStyle = ink.ink;
  pen.stroke(cross);
}

function paintPlan() {
  const { pen, width, height } = view.surface;
  const { opaque, dimmed } = shadowPaths(state.index);
  pen.fillStyle = ink.paper;
  pen.fillRect(0, 0, width, height);
  pen.fillStyle = ink.sun;
  pen.fill(outlinePath(data.field.surrounds, true));
  pen.fillStyle = view.hatch.dim;
  for (const path of dimmed) pen.fill(path, "evenodd");
  pen.fillStyle = view.hatch.shade;
  pen.fill(opaque, "evenodd");
  pen.drawImage(view.over, 0, 0, width, height);
  drawLight(pen);
  drawPlace(pen);
  setText(byId("plan-note"), planWords());
}

function planWords() {
  const share = data.shaded_share[state.index];
  const soft = data.penumbra_m[state.index];
  const shaded = share === null ? "" : `${Math.round(share * 100)} % of the field is in shade. `;
  const edge = soft === null ? "" : `The edge is ${soft.toFixed(1)} m soft. `;
  return `${shaded}${edge}Tap the field for the sun at that place.`;
}

function startPlan() {
  byId("plan").setAttribute("aria-label", "Plan of the ground from above with its shadows. The text below it tells the share in shade.");
  painters.push(whenSeen(byId("plan"), paintPlan));
}
