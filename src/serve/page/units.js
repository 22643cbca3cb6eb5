// Numbers as people write them. In: metres and other file units. Out: text, and back.
// Lengths can be shown and typed in metres or in feet and inches; the file keeps metres.

const FOOT_M = 0.3048; // exactly, by the international agreement of 1959
const INCH_M = 0.0254;

const SUFFIXES = [
  ["_m", "m"], ["_deg", "\u00b0"], ["_lx", "lx"], ["_k", "K"], ["_hpa", "hPa"], ["_c", "\u00b0C"], ["_mm", "mm"],
  ["_s", "s"], ["_stops", "stops"], ["_db", "dB"], ["_min", "min"], ["_cm", "cm"],
];

// Unit of a key by its ending; "" for plain numbers.
export function unitOf(key) {
  return SUFFIXES.find(([ending]) => key.endsWith(ending))?.[1] ?? "";
}

const WORDS = { horizontal_fov_deg: "Horizontal field of view", at: "Place", aim: "Aim", t_number_at_2000_lx: "T-number at 2000 lx" };

// "back_height_m" -> "Back height"
export function wordsOf(key) {
  if (WORDS[key]) return WORDS[key];
  const ending = SUFFIXES.find(([one]) => key.endsWith(one))?.[0] ?? "";
  const words = (ending ? key.slice(0, -ending.length) : key).replaceAll("_", " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

// The shortest text of a number, without the dust of binary arithmetic.
export function plainNumber(value, digits = 6) {
  if (!Number.isFinite(value)) return "";
  return String(Number(value.toFixed(digits)));
}

export function feetAndInches(metres) {
  const exact = Math.abs(metres) / INCH_M;
  const quarters = Math.round(exact * 4) / 4; // as tapes are marked, where that is what was typed
  const inches = Math.abs(exact - quarters) < 0.003 ? quarters : Math.round(exact * 10) / 10;
  const feet = Math.floor(inches / 12);
  const rest = plainNumber(inches - 12 * feet, 2);
  return `${metres < 0 ? "\u2212" : ""}${feet} ft ${rest} in`;
}

// For a field: the number alone in metres, the whole text in feet and inches.
export function shown(value, unit, units) {
  if (value === null || value === undefined) return "";
  return unit === "m" && units === "ft" ? feetAndInches(value) : plainNumber(value);
}

// For a sentence: number and unit.
export function told(value, unit, units) {
  if (unit === "m" && units === "ft") return feetAndInches(value);
  const gap = unit === "" || unit === "\u00b0" ? "" : " ";
  return `${plainNumber(value).replace("-", "\u2212")}${gap}${unit}`;
}

function number(text) {
  const plain = text.trim().replace(/\u2212/g, "-").replace(",", ".");
  return /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(plain) ? Number(plain) : NaN;
}

// "19 ft 8 in", "19' 8\"", "19'8 1/4", "236 in", "6 m", "600 cm": metres, or NaN.
// A bare number counts as metres, or as feet where feet are chosen.
export function parseLength(text, units) {
  const clean = text.trim().replace(/[\u2018\u2019\u2032]/g, "'").replace(/[\u201c\u201d\u2033]|''/g, '"');
  const metric = /^(.*?)\s*(mm|cm|m)$/i.exec(clean);
  if (metric) return number(metric[1]) * { mm: 0.001, cm: 0.01, m: 1 }[metric[2].toLowerCase()];
  const sign = /^[-\u2212]/.test(clean) ? -1 : 1;
  const bare = clean.replace(/^[-\u2212+]\s*/, "");
  const both = /^([\d.,]+)\s*(?:ft|feet|foot|')\s*(?:(.+?)\s*(?:in|inch|inches|")?)?$/i.exec(bare);
  if (both) return sign * metresOf(number(both[1]), both[2] ? inchesOf(both[2]) : 0);
  const inches = /^(.+?)\s*(?:in|inch|inches|")$/i.exec(bare);
  if (inches) return sign * metresOf(0, inchesOf(inches[1]));
  const value = number(clean);
  return units === "ft" ? metresOf(value, 0) : value;
}

function metresOf(feet, inches) {
  return Number((feet * FOOT_M + inches * INCH_M).toFixed(4));
}

// "8", "8.5", "8 1/4", "3/4"
function inchesOf(text) {
  const match = /^(?:([\d.,]+)(?:\s+|-))?(\d+)\/(\d+)$/.exec(text.trim());
  if (!match) return number(text);
  return (match[1] ? number(match[1]) : 0) + Number(match[2]) / Number(match[3]);
}

// A number as typed into the field of `unit`; NaN where it is none.
export function parse(text, unit, units) {
  if (unit === "m") return parseLength(text, units);
  const ending = unit && text.trim().endsWith(unit) ? text.trim().slice(0, -unit.length) : text;
  return number(ending.replace(/\s*(deg|degrees|\u00b0|stops?|lx|K)\s*$/i, ""));
}

// What a field may hold, in words; limits may be open.
export function allowedWords(min, max, unit, units) {
  const least = Number.isFinite(min) ? told(min, unit, units) : null;
  const most = Number.isFinite(max) ? told(max, unit, units) : null;
  if (least && most) return `${least} to ${most}`;
  if (least) return `${least} or more`;
  return most ? `${most} or less` : "any number";
}

// ---- coordinates as maps and telephones write them ----

// "52.31, -0.42", "52.31 N 0.42 W", "52 18 36 N, 0 25 12 W", "N 52\u00b018.6' W 0\u00b025.2'",
// "geo:52.31,-0.42". Gives [latitude, longitude] in degrees, or null.
export function parseCoordinates(text) {
  let clean = text.trim().replace(/^geo:/i, "").replace(/\?.*$/, "").replace(/\u2212/g, "-");
  if (/^-?\d+,\d+[\s;]+-?\d+,\d+$/.test(clean)) clean = clean.replaceAll(",", "."); // decimal commas
  clean = clean.replaceAll(";", " ");
  const halves = splitPair(clean);
  if (!halves) return null;
  const [one, other] = halves.map(parseAngle);
  if (!one || !other) return null;
  const swapped = one.axis === "longitude" || other.axis === "latitude";
  const [latitude, longitude] = swapped ? [other.degrees, one.degrees] : [one.degrees, other.degrees];
  if (Math.abs(latitude) > 90 || Math.abs(longitude) > 180) return null;
  return [Number(latitude.toFixed(7)), Number(longitude.toFixed(7))];
}

// Cuts a pair at its letters (N, S, E, W before or after), its comma, or its one space.
function splitPair(text) {
  const pair =
    /^([NSEW][^NSEW]+?)[\s,]+([NSEW][^NSEW]+)$/i.exec(text) ??
    /^([^NSEW]+[NSEW])[\s,]+([^NSEW]+[NSEW])$/i.exec(text);
  if (pair) return [pair[1], pair[2]];
  const comma = text.split(/\s*,\s*/);
  if (comma.length === 2) return comma;
  const space = text.split(/\s+/);
  return space.length === 2 ? space : null;
}

function parseAngle(text) {
  const letter = /[NSEW]/i.exec(text)?.[0].toUpperCase() ?? "";
  const numbers = text.replace(/[NSEW]/gi, " ").match(/[+-]?\d+(?:\.\d+)?/g)?.map(Number) ?? [];
  if (numbers.length < 1 || numbers.length > 3) return null;
  const [degrees, minutes = 0, seconds = 0] = numbers;
  if (minutes < 0 || minutes >= 60 || seconds < 0 || seconds >= 60) return null;
  const size = Math.abs(degrees) + minutes / 60 + seconds / 3600;
  const negative = letter === "S" || letter === "W" || /^\s*-/.test(text);
  const axis = "NS".includes(letter) && letter ? "latitude" : letter ? "longitude" : "";
  return { degrees: negative ? -size : size, axis };
}
