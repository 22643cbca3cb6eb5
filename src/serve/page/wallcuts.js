// Cameras that are hard to cut to each other now. In: the plan's differences at this minute.
// Out: a line for the head, lines for one camera.

import { get } from "./api.js";
import { day } from "./walldata.js";

const ASK_MS = 10000;
const ASK_FIRST_MS = 1000; // until the plan is made
const asked = { all: null, camera: null };

const name = (k) => day.plan?.cameras[k]?.name ?? "";

function signed(value, digits) {
  const size = Math.abs(value).toFixed(digits);
  return Number(size) === 0 ? size : `${value < 0 ? "\u2212" : "+"}${size}`;
}

// "red +0.1, blue \u22120.2 stop; SDR gain 1.05, lift \u22121 %".
function trimWords(cut) {
  const colour = cut.red_stops === null ? [] : [`red ${signed(cut.red_stops, 1)}, blue ${signed(cut.blue_stops, 1)} stop`];
  const levels = cut.outputs.map(({ output, gain, lift }) => {
    if (gain === null) return `${output}: no gain and lift match both sides`;
    return `${output} gain ${gain.toFixed(2)}, lift ${signed(100 * lift, 0)} %`;
  });
  return [...colour, ...levels].join("; ");
}

function apartWords({ cameras: [a, b], stops }) {
  return `${name(a)} ${Math.abs(stops).toFixed(1)} stops ${stops < 0 ? "darker" : "brighter"} than ${name(b)}`;
}

// " (1 main wide open, 2.1 stops too dark)": lenses that have no iris left; `say` of an end.
function endWords({ cameras, ends }, say = (end) => end.words) {
  if (ends.every(Boolean) && say(ends[0]) === say(ends[1])) return ` (both ${say(ends[0])})`;
  const words = ends.map((end, i) => end && `${name(cameras[i])} ${say(end)}`).filter(Boolean);
  return words.length ? ` (${words.join("; ")})` : "";
}

// The hardest cut of all; nothing where all match.
export function hardestWords() {
  const cut = asked.all?.cuts[0];
  if (!cut || !day.plan) return "";
  if (!cut.is_hard) return "All cuts match";
  const [a, b] = cut.stops < 0 ? cut.cameras : [...cut.cameras].reverse();
  return `Hardest cut ${Math.abs(cut.stops).toFixed(1)} stops: ${name(a)} under ${name(b)}${endWords(cut, (end) => end.name)}`;
}

// Each cut of a camera that is over what cameras are matched to, and what brings the second to
// the first; null while that is not known.
export function cutLines(k) {
  if (asked.camera?.k !== k) return null;
  const hard = asked.camera.cuts.filter((cut) => cut.is_hard);
  return hard.map((cut) => {
    return `${apartWords(cut)}${endWords(cut)} at ${cut.place}: on ${name(cut.cameras[1])} ${trimWords(cut)}`;
  });
}

// Asks again for all and for the camera that is open.
export function startCuts(shown, tell) {
  const ask = async () => {
    try {
      const k = shown();
      asked.all = await get("/api/day/cuts", {});
      asked.camera = k === null ? null : { k, ...(await get("/api/day/cuts", { camera: k })) };
      tell();
    } catch {
      // the wall is there without it; the plan may not be made yet
    }
  };
  const next = () => setTimeout(() => ask().then(next), asked.all ? ASK_MS : ASK_FIRST_MS);
  ask().then(next);
  return ask;
}
