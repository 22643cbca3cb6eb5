// A form to print, to take to the ground and to fill in by hand: the same list of numbers as the
// fields of the page, with what each means. In: the ground as it is. Out: a printed page.

import { byId, make } from "./dom.js";
import { fieldsOf } from "./fieldlist.js";
import { things } from "./things.js";
import { state } from "./state.js";
import { told, wordsOf } from "./units.js";

const ROWS_FOR_MORE = 3; // empty rows for what was not foreseen

function numbers(fields, prefix = "") {
  return fields.flatMap((field) => {
    if (field.kind === "number") return [{ words: prefix + wordsOf(field.key).toLowerCase(), field }];
    if (field.kind === "group") return numbers(field.inner ?? [], `${prefix}${wordsOf(field.key).toLowerCase()}, `);
    if (field.kind === "point") return [{ words: `${prefix}${wordsOf(field.key).toLowerCase()} (${field.words.slice(0, field.width).join(", ")})`, field: { ...field, unit: "m" } }];
    return [];
  });
}

function inTheFile({ value, unit }) {
  if (value === undefined) return "";
  return [value].flat().map((one) => told(one, unit, state.units)).join(", ");
}

function table({ name, table: address }) {
  const rows = numbers(fieldsOf(address)).filter(({ field }) => !/reflectance|transmittance|scattered/.test(field.key ?? ""));
  if (!rows.length) return null;
  const body = rows.map(({ words, field }) => make("tr", {},
    make("th", { scope: "row", text: `${words}${field.unit ? ` (${field.unit})` : ""}` }),
    make("td", { text: inTheFile(field) }),
    make("td", { class: "blank" }), make("td", { class: "blank" })));
  for (let k = 0; k < ROWS_FOR_MORE; k += 1) body.push(make("tr", {}, ...Array.from({ length: 4 }, () => make("td", { class: "blank" }))));
  const head = make("tr", {}, ...["Number", "In the file", "Measured", "How, and how sure"].map((text) => make("th", { scope: "col", text })));
  return make("section", {}, make("h2", { text: name }), make("table", {}, make("thead", {}, head), make("tbody", {}, ...body)));
}

function build() {
  const { ground } = state;
  const wanted = things().filter((one) => /^(place|field|stand|bowl|solid|tree|panel|gantry|camera)\b/.test(one.table));
  byId("recce").replaceChildren(
    make("h1", { text: `Recce of ${ground.title}` }),
    make("p", { text: "Along is the direction of the bearing, across is to the left of someone who looks along it, up is above the playing surface. Note the time of each photograph, and how a number was measured." }),
    make("p", { text: "Never look at the sun through a viewfinder, an optical sight or a lens. Follow the venue's rules for work at height, wind and heat." }),
    make("p", { text: "Measured by ________________   Date ____________   Clock checked against ____________" }),
    ...wanted.map(table).filter(Boolean),
  );
}

export function startRecce() {
  byId("print-recce").addEventListener("click", () => {
    build();
    document.documentElement.classList.add("printing-recce");
    window.print();
  });
  window.addEventListener("afterprint", () => document.documentElement.classList.remove("printing-recce"));
}
