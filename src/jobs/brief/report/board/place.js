// Part 3 of 9: how much sun reaches one place, and its sun/shade bar over the whole plan.

const REACH_PX = 24; // a tap this near to a marker means the camera
const RIM_M = 5; // taps up to this far outside the field still mean a place

// Places that can be chosen without pointing: the marks, and the middle of each zone.
const knownPlaces = [
  ...data.field.marks,
  ...data.field.zones.map((zone) => ({ name: `middle of ${zone.name}`, at: middleOf(zone.outline) })),
];

function middleOf(outline) {
  return [0, 1].map((axis) => {
    const values = outline.map((point) => point[axis]);
    return (Math.min(...values) + Math.max(...values)) / 2;
  });
}

function insideRings(rings, x, y) {
  let inside = false;
  for (const ring of rings) {
    for (let k = 0, j = ring.length - 2; k < ring.length; j = k, k += 2) {
      const crosses = ring[k + 1] > y !== ring[j + 1] > y;
      if (crosses && x < ((ring[j] - ring[k]) * (y - ring[k + 1])) / (ring[j + 1] - ring[k + 1]) + ring[k]) inside = !inside;
    }
  }
  return inside;
}

// How much of the direct sun reaches a place: 1 full, 0 shade, between them dimmed, null no sun.
function lightAt([along, across], index) {
  if (!data.sun[index][2]) return null;
  const { opaque, dimmed } = data.shadow[index];
  if (insideRings(opaque, along * 10, across * 10)) return 0;
  const over = dimmed.filter((region) => insideRings(region.rings, along * 10, across * 10));
  return over.reduce((light, region) => light * region.passes, 1);
}

function lightWord(light) {
  if (light === null) return "no sun";
  if (light === 0) return "shade";
  return light === 1 ? "sun" : "dimmed";
}

// Runs of one state: [{word, from, to}] in indices, `to` being the first instant of the next run.
function lightRuns(place) {
  const runs = [];
  for (let k = 0; k <= lastIndex; k += 1) {
    const word = lightWord(lightAt(place, k));
    const run = runs.at(-1);
    if (run?.word === word) run.to = k + 1;
    else runs.push({ word, from: k, to: k + 1 });
  }
  return runs;
}

function choosePlace(place) {
  state.place = place;
  byId("place-mark").value = String(knownPlaces.findIndex((known) => known.at === place));
  showPlace();
  redrawAll();
}

function showPlace() {
  const bar = byId("place-bar");
  bar.replaceChildren();
  bar.hidden = !state.place;
  if (!state.place) {
    setText(byId("place-words"), "Tap the field, or choose a place from the list.");
    return;
  }
  const runs = lightRuns(state.place);
  for (const run of runs) {
    const part = make("span", `run ${run.word.replace(" ", "-")}`);
    part.style.flexGrow = String(Math.min(run.to, lastIndex) - run.from);
    part.append(make("span", "run-word", run.word));
    bar.append(part);
  }
  bar.append(make("i", "bar-now"));
  const words = runs.map((run) => `${run.word} ${data.clock[run.from]} to ${data.clock[Math.min(run.to, lastIndex)]}`);
  bar.setAttribute("aria-label", words.join(", "));
  setText(byId("place-words"), `${placeName(state.place)}: ${words.join(", ")}.`);
}

function placeName([along, across]) {
  const far = data.field.marks.map((mark) => Math.hypot(mark.at[0] - along, mark.at[1] - across));
  const nearest = far.indexOf(Math.min(...far));
  if (nearest < 0) return `${along.toFixed(1)} m along, ${across.toFixed(1)} m across`;
  const metres = Math.round(far[nearest]);
  return metres === 0 ? data.field.marks[nearest].name : `${metres} m from ${data.field.marks[nearest].name}`;
}

function paintPlace() {
  const now = byId("place-bar").querySelector(".bar-now");
  if (now) now.style.left = `${timeShare(state.time) * 100}%`;
}

function tapPlan(event) {
  const frame = byId("plan").getBoundingClientRect();
  const [x, y] = [event.clientX - frame.left, event.clientY - frame.top];
  const far = view.markers.map((marker) => Math.hypot(marker[0] - x, marker[1] - y));
  const nearest = far.indexOf(Math.min(...far));
  if (far[nearest] <= REACH_PX) return chooseCamera(nearest);
  const place = onField(view.frame, [x, y]);
  const near = [0, 1].every((axis) => {
    const values = data.field.surrounds.map((point) => point[axis]);
    return place[axis] > Math.min(...values) - RIM_M && place[axis] < Math.max(...values) + RIM_M;
  });
  if (near) choosePlace(place);
}

function startPlace() {
  byId("plan").addEventListener("click", tapPlan);
  const list = byId("place-mark");
  list.append(new Option("a tapped place", "-1"));
  knownPlaces.forEach((known, k) => list.append(new Option(known.name, String(k))));
  list.addEventListener("change", () => choosePlace(knownPlaces[Number(list.value)]?.at ?? null));
  showPlace();
  painters.push(paintPlace);
}
