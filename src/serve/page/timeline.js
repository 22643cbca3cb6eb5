// The match above the time slider: share of the field in shade, and when the edge is in shot of
// the chosen camera. In: the course of the match, the plan. Out: a drawing over the travel of the slider.

import { byId, oncePerFrame } from "./dom.js";
import { fitCanvas } from "./plan.js";
import { minuteOf, on, state } from "./state.js";
import { ink } from "./theme.js";
import { THUMB_PX, shownSpan } from "./times.js";

const HEIGHT_PX = 46;
const BAR_PX = 6; // of the edge in shot, below the share

function paint() {
  const canvas = byId("timeline");
  const { course, plan } = state;
  canvas.hidden = !course || state.courseDate !== state.date;
  if (canvas.hidden || !canvas.clientWidth) return;
  const width = canvas.parentElement.clientWidth;
  const pen = fitCanvas(canvas, width, HEIGHT_PX);
  const { from, to } = shownSpan();
  const first = minuteOf(course.clock[0]);
  const x = (epoch) => {
    const minute = first + (epoch - course.epoch_s[0]) / 60;
    return THUMB_PX / 2 + ((minute - from) / (to - from)) * (width - THUMB_PX);
  };
  pen.fillStyle = ink.paper;
  pen.fillRect(0, 0, width, HEIGHT_PX);
  drawShare(pen, course, (k) => x(course.epoch_s[k]));
  if (plan && state.planDate === state.date) drawInShot(pen, plan.cameras?.[state.camera]?.in_shot ?? [], (k) => x(plan.epoch_s[k]));
  byId("timeline-box").classList.toggle("stale", state.stale.plan);
  canvas.setAttribute("aria-label", words(course));
}

function drawShare(pen, course, x) {
  const floor = HEIGHT_PX - BAR_PX - 3;
  const y = (share) => floor - share * (floor - 2);
  const last = course.shaded_share.length - 1;
  pen.fillStyle = ink.sun;
  pen.fillRect(x(0), y(1), x(last) - x(0), floor - y(1));
  pen.fillStyle = ink.shade;
  pen.strokeStyle = ink["shade-line"];
  pen.lineWidth = 2;
  let begin = null;
  for (let k = 0; k <= last + 1; k += 1) {
    const share = course.shaded_share[k] ?? null; // none where the sun is down
    if (share !== null && begin === null) begin = k;
    if (share !== null || begin === null) continue;
    const edge = new Path2D();
    for (let i = begin; i < k; i += 1) edge[i === begin ? "moveTo" : "lineTo"](x(i), y(course.shaded_share[i]));
    const area = new Path2D(edge);
    area.lineTo(x(k - 1), floor);
    area.lineTo(x(begin), floor);
    pen.fill(area);
    pen.stroke(edge);
    begin = null;
  }
}

function drawInShot(pen, inShot, x) {
  pen.fillStyle = ink.cover;
  for (let k = 0; k + 1 < inShot.length; k += 1) {
    if (inShot[k]) pen.fillRect(x(k), HEIGHT_PX - BAR_PX, x(k + 1) - x(k) + 0.5, BAR_PX);
  }
}

function words(course) {
  const known = course.shaded_share.filter((share) => share !== null);
  if (!known.length) return "The match: no sun.";
  const [first, last] = [known[0], known.at(-1)].map((share) => `${Math.round(share * 100)} %`);
  return `The match: ${first} of the field in shade at ${course.clock[0]}, ${last} at ${course.clock.at(-1)}.`;
}

export function startTimeline() {
  const soon = oncePerFrame(paint);
  on("course span choice theme stale ground", soon);
  new ResizeObserver(soon).observe(byId("timeline-box"));
}
