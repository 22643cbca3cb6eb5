// What the plan of the page shows beside what the board of a brief shows. In: the pen, the frame,
// the gantries of the file. Out: lines of gantries, numbers of cameras on paper; which way is ahead and which is left.

import { onScreen } from "./plan.js";

const WORDS_PX = 112; // room of both words
const BESIDE_PX = 370; // of north, sun and scale

export function drawGantries(pen, frame, gantries, chosen, ink) {
  gantries.forEach(({ from, to }, k) => {
    if (!Array.isArray(from) || !Array.isArray(to)) return;
    const [a, b] = [onScreen(frame, from), onScreen(frame, to)];
    const path = new Path2D(`M${a.join(" ")}L${b.join(" ")}`);
    pen.lineCap = "round";
    for (const [width, colour] of [[6, ink.paper], [3, chosen === `gantry[${k}]` ? ink.accent : ink.ink]]) {
      pen.lineWidth = width;
      pen.strokeStyle = colour;
      pen.stroke(path);
    }
    pen.lineCap = "butt";
  });
}

// Numbers of cameras for paper, where the markers of the page do not follow the plan's size.
export function drawNumbers(pen, places, ink) {
  pen.font = "700 14px system-ui, sans-serif";
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.lineWidth = 2;
  pen.strokeStyle = ink.ink;
  places.forEach(([x, y], k) => {
    const ring = new Path2D();
    ring.arc(x, y, 12, 0, 2 * Math.PI);
    pen.fillStyle = ink.paper;
    pen.fill(ring);
    pen.stroke(ring);
    pen.fillStyle = ink.ink;
    pen.fillText(String(k + 1), x, y + 1);
  });
}

// The field lies along the picture: ahead is right, left is up. Seen at a glance, a thing on the
// wrong side is seen too.
export function drawWays(pen, frame, ink) {
  if (frame.width < WORDS_PX + BESIDE_PX) return;
  const x = frame.width - WORDS_PX - 118;
  pen.strokeStyle = pen.fillStyle = ink.ink;
  pen.lineWidth = 1.5;
  pen.stroke(new Path2D(`M${x} 38V12m-4 7l4 -7l4 7M${x} 38h26m-7 -4l7 4l-7 4`));
  pen.font = "14px system-ui, sans-serif";
  pen.textAlign = "left";
  pen.textBaseline = "middle";
  pen.fillText("left", x + 8, 16);
  pen.fillText("ahead", x + 32, 38);
}
