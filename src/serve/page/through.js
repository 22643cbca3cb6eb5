// What is chosen for a picture through a camera: what the iris is set for, which signal is shown,
// where in its sweep it looks, its field of view. In: the chosen camera. Out: words of the request.

import { byId, option, setText } from "./dom.js";
import { on, state } from "./state.js";

const IRIS = { between: "One setting for both sides", sun: "The sun", shade: "The shade" };
const SIGNALS = {
  sdr: "SDR",
  sdr_of_hdr: "SDR made of the HDR",
  lost_in_sdr: "What clips or is crushed in SDR",
  lost_in_hdr: "What clips or is crushed in HDR",
};
const ZOOM_STEPS = 20; // of the slider to a factor of two
const DEGREES = [0.5, 120];

let framed = null; // camera and field of view that the sliders were set for

const camera = () => state.ground?.cameras[state.camera];
const zoomDeg = () => 2 ** (Number(byId("through-zoom").value) / ZOOM_STEPS);
const asInFile = () => Number(byId("through-zoom").value) === zoomStep(camera()?.hfov_deg ?? 30);
const zoomStep = (degrees) => Math.round(ZOOM_STEPS * Math.log2(degrees));
const degreesText = (degrees) => `${degrees < 10 ? degrees.toFixed(1) : degrees.toFixed(0)}°`;

// What a request says beside camera and time.
export function throughWish() {
  return {
    expose: byId("through-expose").value,
    signal: byId("through-signal").value,
    along: Number(byId("through-along").value) / 100,
    zoom_deg: asInFile() ? null : Number(zoomDeg().toFixed(2)),
  };
}

function showWords() {
  const along = Number(byId("through-along").value);
  const aim = along === 0 ? "first aim" : along === 100 ? "last aim" : `${along} % of the way`;
  setText(byId("through-along-words"), aim);
  byId("through-along").setAttribute("aria-valuetext", aim);
  const degrees = asInFile() ? camera()?.hfov_deg ?? 30 : zoomDeg();
  const zoom = `${degreesText(degrees)} across${asInFile() ? ", as in the file" : ""}`;
  setText(byId("through-zoom-words"), zoom);
  byId("through-zoom").setAttribute("aria-valuetext", zoom);
}

// Sliders for another camera, or another field of view of it.
function frame() {
  const chosen = camera();
  if (!chosen) return;
  const key = `${chosen.table} ${chosen.hfov_deg}`;
  if (key !== framed) {
    framed = key;
    byId("through-along").value = "50";
    byId("through-zoom").value = String(zoomStep(chosen.hfov_deg));
  }
  byId("through-along").closest(".labelled").hidden = (chosen.aims?.length ?? 0) < 2;
  showWords();
}

export function showThrough(shown) {
  byId("through").hidden = !shown;
  if (shown) frame();
}

export function startThrough(changed) {
  byId("through-expose").append(...Object.entries(IRIS).map(([key, words]) => option(words, key)));
  byId("through-signal").append(...Object.entries(SIGNALS).map(([key, words]) => option(words, key)));
  [byId("through-zoom").min, byId("through-zoom").max] = DEGREES.map((degrees) => String(zoomStep(degrees)));
  for (const id of ["through-expose", "through-signal"]) byId(id).addEventListener("change", changed);
  for (const id of ["through-along", "through-zoom"]) {
    byId(id).addEventListener("input", () => {
      showWords();
      changed();
    });
  }
  byId("through-as-in-file").addEventListener("click", () => {
    framed = null;
    frame();
    changed();
  });
  on("ground choice", frame);
}
