// The plan that people work on: its room, zoom, camera markers and handles. In: the state.
// Out: the drawing, choices by tapping, changes by dragging.

import { button, byId, make, oncePerFrame, setText } from "./dom.js";
import { makeHandle } from "./drag.js";
import { preview, setValues, shadowApart } from "./exchange.js";
import { handlesOf } from "./handles.js";
import { drawPlan, fitCanvas, frameFor, HEAD_PX, onField, onScreen, spreadApart } from "./plan.js";
import { drawGantries, drawNumbers, drawWays } from "./planmarks.js";
import { dimension, emit, on, parts, shownCameras, shownNumber, shownShadow, shownStands, state, valueAt } from "./state.js";
import { ink } from "./theme.js";
import { told } from "./units.js";

const MARKER_PX = 14; // radius of a camera's marker
const HANDLE_APART_PX = 40; // handles are 28 px square: so far apart they do not overlap corner to corner
const MAX_ZOOM = 8;
const TALL_PX = 420; // below this width a plan need not be square
const view = { frame: null, pen: null, zoom: 1, middle: null, handles: [], markers: [], dragged: null, apart: null, apartOf: null, follow: null, busy: [] };

export function choose(table) {
  const camera = state.ground.cameras.findIndex((one) => one.table === table);
  if (camera >= 0) state.camera = camera;
  state.choice = table;
  emit("choice");
}

export function chooseCamera(k) {
  if (state.ground?.cameras[k]) choose(state.ground.cameras[k].table);
}

function allPoints() {
  const { ground } = state;
  const points = [ground.surrounds, ground.outline, ...(ground.zones ?? []).map((zone) => zone.outline), ...ground.stands.filter((one) => near(one)).map((one) => one.outline)].flat();
  return [...points, ...ground.cameras.map((camera) => camera.at)];
}

// Far neighbours (a hill, a tower half a kilometre away) must not shrink the ground to a stamp.
function near(stand) {
  const far = Math.max(...state.ground.surrounds.map((point) => Math.hypot(point[0], point[1])));
  return stand.outline.every((point) => Math.hypot(point[0], point[1]) < 3 * far + 60);
}

// The room: what the window leaves beside the panel, above the time bar.
function room() {
  const box = byId("plan-box");
  const width = box.clientWidth;
  const wide = matchMedia("(min-width: 900px)").matches;
  if (wide) return { width, height: Math.max(260, box.clientHeight) };
  const all = allPoints();
  const [along, across] = [0, 1].map((axis) => Math.max(...all.map((p) => p[axis])) - Math.min(...all.map((p) => p[axis])));
  const natural = ((width - 32) * across) / Math.max(along, 1) + HEAD_PX + 44;
  const most = Math.max(220, innerHeight * (width < TALL_PX ? 0.38 : 0.36));
  return { width, height: Math.round(Math.min(natural, most)) };
}

function lay() {
  if (!state.ground) return;
  const { width, height } = room();
  view.pen = fitCanvas(byId("plan"), width, height);
  byId("overlay").style.height = `${height}px`;
  view.frame = frameFor(allPoints(), width, height, { zoom: view.zoom, middle: view.middle, margin: width < TALL_PX ? 16 : 22 });
  view.lowest = height;
  view.busy = [];
  placeMarkers();
  placeHandles();
  sayContours();
  draw();
}

function sayContours() {
  const words = state.ground.contours?.words ?? "";
  const item = byId("contour-words");
  item.hidden = words === "";
  setText(item.lastElementChild, words);
}

function paint() {
  if (!view.frame || !state.ground) return;
  view.follow?.(); // the handle moves with what it holds: one frame for both
  view.follow = null;
  drawPlan(view.pen, view.frame, {
    ground: state.ground,
    stands: atHand() ? moved(state.ground.stands) : shownStands(),
    cameras: aimed(shownCameras()),
    shadow: atHand() && view.apart ? movedShadow() : shownShadow(),
    chosen: state.choice,
    busy: view.busy,
    camera: state.camera,
    zones: zonesShown(),
    ghost: state.preview || view.dragged ? state.ground.stands.filter((one) => one.table === state.choice) : null,
  }, ink);
  drawGantries(view.pen, view.frame, gantriesShown(), state.choice, ink);
  drawWays(view.pen, view.frame, ink);
  setText(byId("plan-note"), planWords());
  byId("plan-box").classList.toggle("stale", state.stale.shadow && !state.preview);
}

const draw = oncePerFrame(paint);

// Whether a thing that is dragged is drawn where the hand has it, before the server's answer.
function atHand() {
  if (view.dragged?.id !== "body") return false;
  return state.preview ? view.apart !== null && state.previewOf !== state.trial : true;
}

// A thing that moves as a whole takes its shadow with it, to the last digit; how it falls on
// all that stands beside, and the shares, are in the answer.
function movedShadow() {
  const { own, rest } = view.apart;
  const [x, y] = view.dragged.d;
  const { scale } = view.frame;
  return { ...shownShadow(), ...rest, moved: { ...own, by: [x * scale, -y * scale] } };
}

// Asked for once a drag, of what throws a shadow.
async function takeApart(table) {
  if (view.apartOf === table || !state.ground.stands.some((one) => one.table === table)) return;
  view.apartOf = table;
  const apart = await shadowApart(table);
  if (view.apartOf === table) view.apart = apart; // else the hand has let go
}

function forgetApart() {
  view.apart = null;
  view.apartOf = null;
}

function moved(stands) {
  const { dragged } = view;
  const shift = ([x, y]) => [x + dragged.d[0], y + dragged.d[1]];
  return stands.map((one) => (one.table === state.choice
    ? { ...one, outline: one.outline.map(shift), roof: one.roof?.map(shift) ?? null,
        parts: one.parts?.map((part) => ({ ...part, outline: part.outline.map(shift) })) }
    : one));
}

function aimed(cameras) {
  if (view.dragged?.id !== "aim") return cameras;
  return cameras.map((one, k) => (k === state.camera ? { ...one, aim: view.dragged.aim, frame: null } : one));
}

function gantriesShown() {
  const at = (table, key) => [0, 1].map((axis) => shownNumber(`${table}.${key}[${axis}]`));
  return (state.ground.values?.gantry ?? []).map((one, k) => ({ from: at(`gantry[${k}]`, "from"), to: at(`gantry[${k}]`, "to") }));
}

function zonesShown() {
  const name = parts(state.choice)[0] === "zone" ? valueAt(`${state.choice}.name`) : null;
  return (state.ground.zones ?? []).map((zone) => {
    const chosen = name !== null && zone.name === name;
    return { ...zone, chosen, outline: (chosen && view.dragged?.corners) || zone.outline };
  });
}

function planWords() {
  const shadow = shownShadow();
  if (state.refusedPreview) return `Not possible: ${state.refusedPreview.message}`;
  if (!shadow) return state.timeProblem ? state.timeProblem.message : "The shadow is being worked out.";
  const percent = (share) => `${Math.round(share * 100)} %`;
  const dimmed = shadow.dimmed_share > 0.0005 ? `, ${percent(shadow.dimmed_share)} dimmed` : "";
  const now = state.preview ? "With this change " : "";
  const field = shadow.sun.up ? `${percent(shadow.shaded_share)} of the field is in shade${dimmed}.` : "the sun is down.";
  const sentence = now + field;
  return sentence.charAt(0).toUpperCase() + sentence.slice(1);
}

// ---- markers of cameras: buttons, pushed apart so that each can be tapped ----

function placeMarkers() {
  const spread = spreadApart(shownCameras().map((camera) => onScreen(view.frame, camera.at)), [], 2 * MARKER_PX + 4);
  view.markers = spread;
  const nodes = state.ground.cameras.map((camera, k) => {
    const node = button(String(k + 1), () => chooseCamera(k), { class: "marker", "aria-label": `Camera ${camera.name}` });
    node.setAttribute("aria-pressed", String(state.choice === camera.table));
    put(node, spread[k]);
    return node;
  });
  byId("markers").replaceChildren(...nodes);
}

function put(node, [x, y]) {
  const inside = x > 6 && x < view.frame.width - 6 && y > HEAD_PX - 4 && y < view.lowest - 4;
  node.hidden = !inside;
  node.style.left = `${x}px`;
  node.style.top = `${y}px`;
  if (!view.dragged) view.busy.push([x, y]);
}

// ---- handles of the chosen thing ----

function placeHandles() {
  const focused = document.activeElement?.dataset?.handle ?? null;
  const frame = () => ({ perAlong: view.frame.scale, perUp: -view.frame.scale });
  const specs = handlesOf(state.choice);
  const places = spreadApart(specs.map((spec) => onScreen(view.frame, spec.at)), view.markers, HANDLE_APART_PX);
  view.follow = null;
  view.handles = specs.map((spec, k) => {
    const whole = spec.aim ? aimSpec(spec) : spec.corners ? zoneSpec(spec) : { ...spec, words: handleWords };
    const node = makeHandle(whole, frame, (d) => showMoved(spec, node, places[k], d));
    node.dataset.handle = spec.id;
    put(node, places[k]);
    return { spec, node };
  });
  byId("handles").replaceChildren(...view.handles.map((one) => one.node));
  if (focused) view.handles.find((one) => one.spec.id === focused)?.node.focus({ preventScroll: true });
}

function showMoved(spec, node, [x, y], d) {
  const still = d[0] === 0 && d[1] === 0;
  view.dragged = still ? null : { id: spec.id, d, aim: spec.aim?.(d), corners: spec.corners?.(d) };
  view.follow = () => put(node, [x + d[0] * view.frame.scale, y - d[1] * view.frame.scale]);
  if (still) forgetApart();
  else if (spec.id === "body") takeApart(state.choice);
  if (still || spec.aim || spec.corners || !state.preview || view.apart) draw(); // else the answer draws it, with its shadow
}

function handleWords(set) {
  return set.map(({ address, value }) => {
    const one = dimension(address);
    const key = parts(address).at(-1).replace(/_(m|deg)$/, "").replaceAll("_", " ");
    return `${key} ${told(value, one.unit === "deg" ? "\u00b0" : "m", state.units)}`;
  }).join(", ");
}

// An aim is two keys of the camera: the point, and the named places that it takes the place of.
function aimSpec(spec) {
  const table = state.choice;
  return {
    ...spec,
    set: null,
    words: (set, d) => `aim ${spec.aim(d).map((value) => told(value, "m", state.units)).join(" along, ")} across`,
    drop: (d) => {
      const aims = valueAt(`${table}.aim`) ?? [];
      const list = [{ address: `${table}.aim`, value: [spec.aim(d), ...aims.slice(1)] }];
      if ((valueAt(`${table}.looks_at`) ?? []).length) list.push({ address: `${table}.looks_at`, value: [] });
      return setValues(list, spec.label);
    },
  };
}

// A zone is moved as points of its list; those that stay are not written again.
function zoneSpec(spec) {
  const table = state.choice;
  const now = valueAt(`${table}.corners`) ?? [];
  const said = (point) => point.map((value) => told(value, "m", state.units)).join(" along, ");
  const changed = (d) => spec.corners(d).flatMap((value, k) => (value.every((part, axis) => part === now[k][axis])
    ? [] : [{ address: `${table}.corners[${k}]`, value }]));
  return {
    ...spec,
    set: null,
    words: (set, d) => {
      const [first] = changed(d);
      return first ? `${spec.label} ${said(first.value)} across` : "";
    },
    drop: (d) => {
      const list = changed(d);
      return list.length ? setValues(list, spec.label) : false;
    },
  };
}

// ---- tapping, zoom ----

function insideOutline(points, [x, y]) {
  let inside = false;
  for (let k = 0, j = points.length - 1; k < points.length; j = k, k += 1) {
    const [[ax, ay], [bx, by]] = [points[k], points[j]];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  }
  return inside;
}

function tap(event) {
  const box = byId("plan").getBoundingClientRect();
  const at = onField(view.frame, [event.clientX - box.left, event.clientY - box.top]);
  const ringsOf = (one) => (one.parts?.length ? one.parts.map((part) => part.outline) : [one.outline, one.roof ?? []]);
  const hits = state.ground.stands.filter((one) => ringsOf(one).some((ring) => insideOutline(ring, at)));
  const area = ({ outline }) => outline.reduce((sum, [x, y], k) => {
    const [u, v] = outline[(k + 1) % outline.length];
    return sum + x * v - u * y;
  }, 0);
  hits.sort((a, b) => Math.abs(area(a)) - Math.abs(area(b))); // the smallest of what lies under the finger
  if (hits.length) choose(hits[0].table);
  else choose("field");
}

function zoomBy(factor, about = null) {
  const zoom = Math.min(MAX_ZOOM, Math.max(1, view.zoom * factor));
  if (zoom === view.zoom) return;
  const held = about ?? [view.frame.width / 2, (view.lowest + HEAD_PX) / 2];
  const under = onField(view.frame, held);
  view.zoom = zoom;
  const scale = (view.frame.scale * zoom) / (zoom / factor);
  view.middle = zoom === 1 ? null : [
    under[0] - (held[0] - view.frame.width / 2) / scale,
    under[1] + (held[1] - (HEAD_PX + (view.lowest - HEAD_PX) / 2)) / scale,
  ];
  byId("plan").classList.toggle("zoomed", zoom > 1);
  lay();
}

function startPanning(canvas) {
  let held = null;
  canvas.addEventListener("pointerdown", (event) => {
    held = { at: [event.clientX, event.clientY], far: 0 };
    if (view.zoom > 1) canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [dx, dy] = [event.clientX - held.at[0], event.clientY - held.at[1]];
    held.far += Math.hypot(dx, dy);
    if (view.zoom === 1) return;
    held.at = [event.clientX, event.clientY];
    const middle = onField(view.frame, [view.frame.width / 2, HEAD_PX + (view.lowest - HEAD_PX) / 2]);
    view.middle = [middle[0] - dx / view.frame.scale, middle[1] + dy / view.frame.scale];
    lay();
  });
  canvas.addEventListener("pointerup", (event) => {
    if (held && held.far < 6) tap(event);
    held = null;
  });
  canvas.addEventListener("pointercancel", () => {
    held = null;
  });
  canvas.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !event.shiftKey && view.zoom === 1 && event.deltaY > 0) return;
    event.preventDefault();
    const box = canvas.getBoundingClientRect();
    zoomBy(event.deltaY < 0 ? 1.2 : 1 / 1.2, [event.clientX - box.left, event.clientY - box.top]);
  }, { passive: false });
}

export function startPlan() {
  startPanning(byId("plan"));
  byId("zoom-in").addEventListener("click", () => zoomBy(1.5));
  byId("zoom-out").addEventListener("click", () => zoomBy(1 / 1.5));
  byId("zoom-fit").addEventListener("click", () => zoomBy(1 / MAX_ZOOM));
  on("ground choice units", () => {
    view.dragged = null;
    forgetApart();
    lay();
  });
  on("theme", lay);
  on("time", forgetApart);
  on("print", () => {
    paint();
    if (view.frame && state.ground) drawNumbers(view.pen, view.markers, ink);
  });
  on("preview shadow stale", () => {
    const { dragged } = view;
    if (state.preview) view.dragged = dragged?.aim || dragged?.corners || view.apart ? dragged : null;
    draw();
  });
  // handles are made anew with the layout: one that is held would slip out of the hand
  const layLater = oncePerFrame(() => {
    if (!byId("handles").querySelector(".held")) return lay();
    addEventListener("pointerup", layLater, { once: true });
  });
  new ResizeObserver(layLater).observe(byId("plan-box"));
}

// For the fields: shows a number that is being typed.
export function previewNumber(address, value) {
  preview([{ address, value }]);
}
