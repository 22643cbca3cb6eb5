// Bearings: by compass, by two sightings, by the shadow of a rod. In: what was read off.
// Out: degrees clockwise from true north; by compass, what was read and the declination.

import { get } from "./api.js";
import { button, byId, labelled, make, setText } from "./dom.js";
import { setValues } from "./exchange.js";
import { atText, clockText, dimension, minuteOf, on, state } from "./state.js";
import { parse, parseCoordinates, plainNumber } from "./units.js";

const turn = (degrees) => ((degrees % 360) + 360) % 360;

// Initial course of the great circle, as in any handbook of navigation.
export function bearingBySightings([latA, lonA], [latB, lonB]) {
  const radians = (degrees) => (degrees * Math.PI) / 180;
  const [a, b, apart] = [radians(latA), radians(latB), radians(lonB - lonA)];
  const east = Math.sin(apart) * Math.cos(b);
  const north = Math.cos(a) * Math.sin(b) - Math.sin(a) * Math.cos(b) * Math.cos(apart);
  return east === 0 && north === 0 ? NaN : turn((Math.atan2(east, north) * 180) / Math.PI);
}

// Controls of the first two ways; `read()` gives keys of `[field]` or throws words for the person.
export function bearingControls() {
  const compass = make("input", { type: "text", inputmode: "decimal", autocomplete: "off", value: "" });
  const declination = make("input", { type: "text", inputmode: "decimal", autocomplete: "off", value: "0" });
  const first = make("input", { type: "text", autocomplete: "off" });
  const second = make("input", { type: "text", autocomplete: "off" });
  const ways = make("select", {}, new Option("by compass", "compass"), new Option("by two sightings", "sightings"), new Option("true bearing, from a map", "true"));
  const groups = {
    compass: [labelled("Compass bearing along the field (\u00b0)", compass, "Stand behind one goal or baseline and look along the field, away from steel. This direction is called ahead."),
      labelled("Magnetic declination (\u00b0, east positive)", declination)],
    sightings: [labelled("Coordinates of the near end", first), labelled("Coordinates of the far end", second, "Two points on one line along the field, as far apart as can be.")],
    true: [],
  };
  const trueBearing = make("input", { type: "text", inputmode: "decimal", autocomplete: "off" });
  groups.true.push(labelled("Bearing along the field from true north (\u00b0)", trueBearing));
  const box = make("div", {}, labelled("Bearing of the field", ways), ...Object.values(groups).flat());
  const show = () => Object.entries(groups).forEach(([way, nodes]) => nodes.forEach((node) => {
    node.hidden = way !== ways.value;
  }));
  ways.addEventListener("change", show);
  show();
  const degrees = (input, words, most = 360) => {
    const value = parse(input.value, "deg", "m");
    if (!Number.isFinite(value) || Math.abs(value) > most) throw new FieldProblem(input, `${words}: a number of degrees, up to ${most}.`);
    return value;
  };
  const read = () => {
    const keys = (bearing) => ({ bearing_deg: Number(turn(bearing).toFixed(2)) });
    if (ways.value === "compass") {
      const read = keys(degrees(compass, "Compass bearing"));
      return { ...read, north: "magnetic", declination_deg: degrees(declination, "Declination", 90) };
    }
    if (ways.value === "true") return keys(degrees(trueBearing, "True bearing"));
    const [a, b] = [first, second].map((input) => parseCoordinates(input.value));
    if (!a) throw new FieldProblem(first, "Coordinates such as 52.3101, -0.4203.");
    if (!b) throw new FieldProblem(second, "Coordinates such as 52.3101, -0.4203.");
    const bearing = bearingBySightings(a, b);
    if (!Number.isFinite(bearing)) throw new FieldProblem(second, "The two sightings are the same point.");
    return keys(bearing);
  };
  return { box, read };
}

export class FieldProblem extends Error {
  constructor(input, text) {
    super(text);
    this.input = input;
  }
}

// ---- the shadow of a rod, for a ground whose place is known ----

async function useRod() {
  const minute = minuteOf(byId("rod-time").value);
  const angle = parse(byId("rod-angle").value, "deg", "m");
  const note = byId("rod-note");
  if (minute === null || !Number.isFinite(angle)) return setText(note, "A time and an angle in degrees are needed.");
  const at = `${byId("rod-date").value}T${clockText(minute)}:00`;
  try {
    const { sun } = await get("/api/shadow", { revision: state.ground.revision, at, fold: state.fold });
    if (!sun.up) return setText(note, "The sun was down then.");
    const bearing = Number(turn(sun.azimuth_deg + 180 + angle).toFixed(2));
    const list = [{ address: "field.bearing_deg", value: bearing }];
    if (state.ground.values?.field?.north !== undefined) list.push({ address: "field.north", value: "true" });
    await setValues(list, "Bearing by the shadow of a rod");
    setText(note, `The shadow pointed to ${plainNumber(turn(sun.azimuth_deg + 180), 1)}\u00b0, so the field runs toward ${plainNumber(bearing, 1)}\u00b0 true.`);
  } catch (refusal) {
    setText(note, refusal.message);
  }
}

function showTools() {
  const box = byId("bearing-tools");
  const wanted = state.choice === "field" && dimension("field.bearing_deg");
  box.hidden = !wanted;
  if (!wanted || box.childElementCount) return;
  const input = (id, type, value) => make("input", { type, id, value, autocomplete: "off" });
  box.append(make("summary", { text: "Bearing by the shadow of a rod" }),
    make("p", { class: "note", text: "Hold a rod upright on the field. Note the time and the angle, clockwise as seen from above, from its shadow to the direction ahead along the field." }),
    labelled("Date", input("rod-date", "date", state.date)),
    labelled("Time by the venue's clock", input("rod-time", "time", atText().slice(11, 16))),
    labelled("Angle from the shadow to ahead (\u00b0)", input("rod-angle", "text", "")),
    make("div", { class: "row" }, button("Set the bearing", useRod)), make("p", { class: "note", id: "rod-note", role: "status" }));
}

export function startBearing() {
  on("ground choice", showTools);
}
