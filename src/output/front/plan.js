// Draws a ground from above, for the live page and for the board of the brief alike. In: a frame
// (pixels per metre, origin), what to draw, colours. Out: pixels of a canvas. Field axes: along
// to the right, across upward, metres.

const NAME_FONT = "600 14px system-ui, sans-serif";
const SCALES_M = [200, 100, 50, 20, 10, 5, 2, 1];
export const HEAD_PX = 50; // strip for north, sun and scale

// A frame in which `points` fill `width` x `height`, at `zoom` around `middle`.
export function frameFor(points, width, height, { zoom = 1, middle = null, margin = 22, head = HEAD_PX } = {}) {
  const xs = points.map((point) => point[0]);
  const ys = points.map((point) => point[1]);
  const [left, low, right, high] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  const fit = Math.min((width - 2 * margin) / (right - left), (height - head - 2 * margin) / (high - low));
  const scale = Math.max(0.01, fit) * zoom;
  const [x, y] = middle ?? [(left + right) / 2, (low + high) / 2];
  return { scale, x0: width / 2 - x * scale, y0: head + (height - head) / 2 + y * scale, width, height };
}

export function onScreen(frame, [along, across]) {
  return [frame.x0 + along * frame.scale, frame.y0 - across * frame.scale];
}

export function onField(frame, [x, y]) {
  return [(x - frame.x0) / frame.scale, (frame.y0 - y) / frame.scale];
}

// Moves points of the picture apart, so that what is drawn there can be tapped one by one;
// `fixed` ones stay. Points are changed in place.
export function spreadApart(points, fixed, apart) {
  const all = [...points, ...fixed];
  for (let round = 0; round < 200; round += 1) {
    for (let a = 0; a < points.length; a += 1) {
      for (let b = a + 1; b < all.length; b += 1) pushApart(all[a], all[b], apart, b >= points.length);
    }
  }
  return points;
}

const AWRY = 0.3; // radians off the straight line, or points in a row would only jostle

function pushApart(one, two, apart, held) {
  const [dx, dy] = [two[0] - one[0], two[1] - one[1]];
  const far = Math.hypot(dx, dy);
  const push = (apart - far) / (held ? 1 : 2);
  if (push <= 0) return;
  const way = Math.atan2(dy, dx) + AWRY;
  one[0] -= Math.cos(way) * push;
  one[1] -= Math.sin(way) * push;
  if (held) return;
  two[0] += Math.cos(way) * push;
  two[1] += Math.sin(way) * push;
}

// Gives the canvas as many pixels as the screen has (at most 2 per CSS pixel, for speed).
export function fitCanvas(canvas, width, height) {
  const ratio = Math.min(window.devicePixelRatio || 1, 2);
  const [wide, high] = [Math.round(width * ratio), Math.round(height * ratio)];
  if (canvas.width !== wide) canvas.width = wide;
  if (canvas.height !== high) canvas.height = high;
  canvas.style.height = `${height}px`;
  const pen = canvas.getContext("2d");
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  return pen;
}

// What was made of an object for a frame is kept as long as both are: a drag draws the same
// points at each step.
const made = new WeakMap();

function kept(frame, key, make) {
  if (!made.has(frame)) made.set(frame, new WeakMap());
  const own = made.get(frame);
  if (!own.has(key)) own.set(key, make());
  return own.get(key);
}

function outline(frame, points, closed = true) {
  return kept(frame, points, () => {
    const path = new Path2D();
    points.forEach((point, k) => path[k ? "lineTo" : "moveTo"](...onScreen(frame, point)));
    if (closed) path.closePath();
    return path;
  });
}

function rings(frame, list) {
  return kept(frame, list, () => {
    const path = new Path2D();
    for (const ring of list) path.addPath(outline(frame, ring));
    return path;
  });
}

// Shade is striped and dimmed is dotted, so that colour is never the only sign.
const hatches = new Map();

function hatch(pen, ground, mark, striped) {
  const key = `${ground} ${mark} ${striped}`;
  if (!hatches.has(key)) hatches.set(key, hatchTile(ground, mark, striped));
  return pen.createPattern(hatches.get(key), "repeat");
}

function hatchTile(ground, mark, striped) {
  const tile = document.createElement("canvas");
  tile.width = 8;
  tile.height = 8;
  const pen = tile.getContext("2d");
  pen.fillStyle = ground;
  pen.fillRect(0, 0, 8, 8);
  pen.strokeStyle = pen.fillStyle = mark;
  pen.lineWidth = 1.4;
  pen.beginPath();
  if (striped) {
    for (const shift of [-8, 0, 8]) {
      pen.moveTo(shift - 1, 9);
      pen.lineTo(shift + 9, -1);
    }
    pen.stroke();
  } else {
    pen.arc(2, 2, 1.1, 0, 7);
    pen.arc(6, 6, 1.1, 0, 7);
    pen.fill();
  }
  return tile;
}

// `scene`: { ground, stands, zones, cameras, shadow, chosen (table), camera (index), ghost (stands) }
// and `busy`, points of the picture that names keep clear of. A shadow's `lit` says that its rings
// are drawn whether or not the sun shines, its `moved` has rings that are drawn `by` pixels off.
export function drawPlan(pen, frame, scene, ink) {
  drawLight(pen, frame, scene, ink);
  drawStanding(pen, frame, scene, ink);
  drawSun(pen, scene, ink, frame.width);
}

// What changes with the time alone, under all else; `drawSun` is the rest of it.
export function drawLight(pen, frame, scene, ink) {
  pen.fillStyle = ink.paper;
  pen.fillRect(0, 0, frame.width, frame.height);
  drawShadows(pen, frame, scene, ink);
}

// What stays while the time moves; who draws it often keeps it as a picture.
export function drawStanding(pen, frame, scene, ink) {
  drawContours(pen, frame, scene.ground.contours?.lines ?? [], ink);
  drawBeside(pen, frame, scene.ground.beside ?? [], ink);
  drawField(pen, frame, scene.ground, ink);
  drawZones(pen, frame, scene.zones ?? [], ink);
  drawStands(pen, frame, scene, ink);
  drawFrame(pen, frame, scene, ink);
  pen.fillStyle = ink.paper; // a strip of its own for north, sun and scale, also when zoomed in
  pen.fillRect(0, 0, frame.width, HEAD_PX - 4);
  drawNorth(pen, scene.ground, ink);
  if (frame.width > 300) drawScale(pen, frame, ink); // a small picture has no room for it
}

function drawShadows(pen, frame, { ground, shadow }, ink) {
  const lit = shadow && (shadow.lit ?? shadow.sun?.up !== false);
  pen.fillStyle = shadow && !lit ? ink.roof : ink.sun;
  pen.fill(outline(frame, ground.surrounds));
  if (!lit) return;
  const { moved } = shadow;
  pen.save();
  if (moved) pen.clip(outline(frame, ground.surrounds));
  pen.fillStyle = hatch(pen, ink.dim, ink["dim-line"], false);
  for (const region of shadow.dimmed ?? []) pen.fill(rings(frame, region.rings ?? [region]), "evenodd");
  for (const region of moved?.dimmed ?? []) pen.fill(shifted(rings(frame, region.rings), moved.by), "evenodd");
  pen.fillStyle = hatch(pen, ink.shade, ink["shade-line"], true);
  pen.fill(rings(frame, shadow.shade ?? []), "evenodd");
  if (moved) pen.fill(shifted(rings(frame, moved.shade), moved.by), "evenodd");
  pen.restore();
}

// The path moves and not the pen, so that hatching stays where it is.
function shifted(path, [x, y]) {
  const moved = new Path2D();
  moved.addPath(path, new DOMMatrix([1, 0, 0, 1, x, y]));
  return moved;
}

function drawField(pen, frame, ground, ink) {
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 1.4;
  for (const line of ground.lines ?? []) pen.stroke(outline(frame, line, false));
  if (ground.playing_area) pen.stroke(outline(frame, ground.playing_area));
  pen.lineWidth = 2;
  pen.stroke(outline(frame, ground.outline));
  pen.fillStyle = ink.ink;
  for (const mark of ground.marks ?? []) {
    const [x, y] = onScreen(frame, mark.at);
    pen.fillRect(x - 1.5, y - 1.5, 3, 3);
  }
}

// Lines of equal height of ground that is not flat.
function drawContours(pen, frame, lines, ink) {
  pen.beginPath();
  for (const [from, to] of lines.flatMap(({ pieces }) => pieces)) {
    pen.moveTo(...onScreen(frame, from));
    pen.lineTo(...onScreen(frame, to));
  }
  pen.strokeStyle = ink.contour;
  pen.lineWidth = 1.2;
  pen.stroke();
}

// The other fields of a site, in their place; nothing is planned on them.
function drawBeside(pen, frame, others, ink) {
  pen.strokeStyle = pen.fillStyle = ink.soft;
  pen.lineWidth = 1;
  pen.font = NAME_FONT;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  for (const { name, outline: ring } of others) {
    pen.stroke(outline(frame, ring));
    const points = ring.map((point) => onScreen(frame, point));
    const [xs, ys] = [0, 1].map((axis) => points.map((point) => point[axis]));
    const wide = Math.max(...xs) - Math.min(...xs);
    if (pen.measureText(name).width + 12 < wide) pen.fillText(name, Math.min(...xs) + wide / 2, (Math.min(...ys) + Math.max(...ys)) / 2);
  }
}

function drawZones(pen, frame, zones, ink) {
  for (const zone of zones) {
    pen.setLineDash([2, 4]);
    pen.strokeStyle = zone.chosen ? ink.accent : ink.soft;
    pen.lineWidth = zone.chosen ? 3 : 1;
    pen.stroke(outline(frame, zone.outline));
  }
  pen.setLineDash([]);
}

// The pieces of a thing from the lowest to the highest; its outline where there are none.
function pieces(thing) {
  if (thing.parts?.length) return thing.parts;
  const roof = thing.roof ? [{ part: "roof", outline: thing.roof, passes: 0 }] : [];
  return [{ part: "deck", outline: thing.outline, passes: 0 }, ...roof];
}

const MANY = 40; // pieces of one thing that would only hatch it, were each outlined

// The lines of a thing of many pieces that are not between two of them; kept with the thing.
const rims = new WeakMap();

function rimOf(thing) {
  if (rims.has(thing)) return rims.get(thing);
  const found = new Map();
  for (const { outline: ring, part } of pieces(thing)) {
    ring.forEach((a, k) => {
      const b = ring[(k + 1) % ring.length];
      const key = part + [a, b].map((point) => point.map((value) => value.toFixed(2)).join()).sort().join(" ");
      if (found.has(key)) found.set(key, null);
      else found.set(key, [a, b]);
    });
  }
  rims.set(thing, [...found.values()].filter(Boolean));
  return rims.get(thing);
}

function rimPath(frame, thing) {
  const path = new Path2D();
  for (const [a, b] of rimOf(thing)) {
    path.moveTo(...onScreen(frame, a));
    path.lineTo(...onScreen(frame, b));
  }
  return path;
}

// Pieces of a thing that look alike and follow each other, as one path each.
function layers(frame, thing, field) {
  const found = [];
  for (const piece of pieces(thing)) {
    const high = piece.part === "roof" || piece.part === "crown";
    const thin = piece.passes > 0;
    const over = (piece.part === "roof" || piece.part === "panel") && isOver(piece.outline, field);
    let last = found.at(-1);
    if (last?.high !== high || last.thin !== thin || last.over !== over) {
      last = { high, thin, over, path: new Path2D() };
      found.push(last);
    }
    piece.outline.forEach((point, k) => last.path[k ? "lineTo" : "moveTo"](...onScreen(frame, point)));
    last.path.closePath();
  }
  return found;
}

// Whether the middle of a ring, or a corner of it, lies within another.
function isOver(ring, field) {
  const middle = [0, 1].map((axis) => ring.reduce((sum, point) => sum + point[axis], 0) / ring.length);
  const within = ([x, y]) => field.reduce((inside, [ax, ay], k) => {
    const [bx, by] = field[(k + 1) % field.length];
    return (ay > y) !== (by > y) && x < ax + ((bx - ax) * (y - ay)) / (by - ay) ? !inside : inside;
  }, false);
  return within(middle) || ring.some(within);
}

function drawStands(pen, frame, { ground, stands, chosen, ghost, busy = [] }, ink) {
  pen.lineWidth = 1;
  pen.strokeStyle = ink.line;
  for (const stand of stands) {
    const many = pieces(stand).length > MANY;
    for (const { high, thin, over, path } of kept(frame, stand, () => layers(frame, stand, ground.outline))) {
      pen.globalAlpha = thin ? 0.5 : 1; // what lets light through is drawn thin
      pen.fillStyle = high ? ink.roof : ink.stand;
      if (!over) pen.fill(path); // shade lies under what hangs over the field: its rim is enough
      pen.globalAlpha = 1;
      if (!many) pen.stroke(path);
    }
    if (many) pen.stroke(rimPath(frame, stand));
  }
  for (const stand of stands.filter((one) => one.table === chosen)) {
    pen.strokeStyle = ink.accent;
    pen.lineWidth = 3;
    for (const path of edges(frame, stand)) pen.stroke(path);
  }
  pen.setLineDash([6, 4]);
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 1.5;
  for (const path of (ghost ?? []).flatMap((stand) => edges(frame, stand))) pen.stroke(path);
  pen.setLineDash([]);
  const taken = [...busy];
  for (const stand of stands) drawName(pen, frame, stand, taken, ink);
}

// The outline that marks a thing: the hull of a bowl would cover the pitch, so its pieces do.
function edges(frame, thing) {
  if (thing.kind === "bowl" || thing.kind === "mesh") return [rimPath(frame, thing)];
  return thing.outline.length > 2 ? [outline(frame, thing.outline)] : [];
}

const CLEAR_PX = 17; // half a marker and a little air

// A name in the first spot along its stand that is free of markers and handles, if there is one.
function drawName(pen, frame, stand, busy, ink) {
  if (stand.kind === "bowl" || !stand.outline.length) return;
  const points = stand.outline.map((point) => onScreen(frame, point));
  const [xs, ys] = [0, 1].map((axis) => points.map((point) => point[axis]));
  const [left, top, right, low] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  pen.font = NAME_FONT;
  const upright = low - top > right - left;
  const length = pen.measureText(stand.name).width;
  const [long, thick] = upright ? [low - top, right - left] : [right - left, low - top];
  const room = long - length - 6;
  if (room < 0 || thick < 16) return;
  const middle = [(left + right) / 2, (top + low) / 2];
  const asides = thick > 56 ? [0, (thick - 20) / 2.6, -(thick - 20) / 2.6] : [0];
  const spots = [0, -0.25, 0.25, -0.5, 0.5].flatMap((share) => asides.map((aside) => (upright
    ? [middle[0] + aside, middle[1] + share * room] : [middle[0] + share * room, middle[1] + aside])));
  const free = ([x, y]) => busy.every(([bx, by]) => {
    const [along, across] = upright ? [by - y, bx - x] : [bx - x, by - y];
    return Math.abs(along) > length / 2 + CLEAR_PX || Math.abs(across) > 9 + CLEAR_PX;
  });
  const spot = spots.find(free);
  if (!spot) return;
  for (const share of [-0.4, 0, 0.4]) busy.push(upright ? [spot[0], spot[1] + share * length] : [spot[0] + share * length, spot[1]]);
  pen.save();
  pen.translate(...spot);
  if (upright) pen.rotate(-Math.PI / 2);
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillStyle = ink.ink;
  pen.fillText(stand.name, 0, 0);
  pen.restore();
}

function drawFrame(pen, frame, { cameras, camera }, ink) {
  const chosen = cameras[camera];
  if (!chosen) return;
  const rim = (path, width, dash) => {
    pen.setLineDash(dash);
    pen.strokeStyle = ink.paper; // a pale rim keeps the line clear of lines beneath it
    pen.lineWidth = width + 2.5;
    pen.stroke(path);
    pen.strokeStyle = ink.cover;
    pen.lineWidth = width;
    pen.stroke(path);
    pen.setLineDash([]);
  };
  if (chosen.frame?.length) {
    for (const ring of chosen.cover ?? [chosen.frame]) rim(outline(frame, ring), 2.5, [10, 5]);
  }
  if (chosen.aim) rim(outline(frame, [chosen.at, chosen.aim], false), 1.5, [2, 4]);
}

// An arrow from tail to tip in plan axes, turned clockwise from the field's along axis.
function drawArrow(pen, x, y, length, clockwise) {
  pen.save();
  pen.translate(x, y);
  pen.rotate((clockwise * Math.PI) / 180);
  pen.stroke(new Path2D(`M${-length / 2} 0H${length / 2 - 6}`));
  pen.fill(new Path2D(`M${length / 2} 0l-12 -6v12z`));
  pen.restore();
}

function drawNorth(pen, ground, ink) {
  pen.strokeStyle = pen.fillStyle = ink.ink;
  pen.lineWidth = 2.5;
  drawArrow(pen, 28, 26, 30, ground.north_deg);
  const turn = (ground.north_deg * Math.PI) / 180;
  pen.font = "700 14px system-ui, sans-serif";
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillText("N", 28 + 21 * Math.cos(turn), 26 + 21 * Math.sin(turn));
}

export function sunWords(shadow) {
  if (!shadow) return ["", ""];
  const { azimuth_deg: azimuth, elevation_deg: elevation, up } = shadow.sun;
  if (!up) return ["No sun", ""];
  return [`Sun from ${Math.round(azimuth) % 360}\u00b0`, `${elevation.toFixed(1)}\u00b0 high`];
}

const NARROW_PX = 230; // a picture that "Sun from 216\u00b0" does not fit

export function drawSun(pen, { shadow, ground }, ink, width = Infinity) {
  if (!shadow) return;
  pen.strokeStyle = pen.fillStyle = ink.cover;
  pen.lineWidth = 4;
  // Light runs away from the sun.
  if (shadow.sun.up) drawArrow(pen, 80, 26, 36, shadow.sun.azimuth_deg + ground.north_deg + 180);
  pen.fillStyle = ink.ink;
  pen.font = NAME_FONT;
  pen.textAlign = "left";
  pen.textBaseline = "alphabetic";
  sunWords(shadow).forEach((line, k) => pen.fillText(width < NARROW_PX ? line.replace(" from", "") : line, 106, 21 + 18 * k));
}

function drawScale(pen, frame, ink) {
  const metres = SCALES_M.find((length) => length * frame.scale < 90) ?? 1;
  const right = frame.width - 10;
  const left = right - metres * frame.scale;
  pen.strokeStyle = pen.fillStyle = ink.ink;
  pen.lineWidth = 2;
  pen.stroke(new Path2D(`M${left} 28v8H${right}v-8`));
  pen.font = "14px system-ui, sans-serif";
  pen.textAlign = "right";
  pen.textBaseline = "alphabetic";
  pen.fillText(`${metres} m`, right, 22);
}
