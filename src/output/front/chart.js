// Draws the split of one camera through a match, for the live page and for the board alike. In:
// its figures, the times, colours. Out: pixels of a canvas, and the same in a sentence.

export const CHART_PX = 148;
const EDGE = { left: 34, right: 8, top: 12, low: 40 };
const FONT = "14px system-ui, sans-serif";

// `camera`: { split_turf, split_subject, in_shot }, a value an instant; `times`: seconds of each
// instant; `now`: the shown second, or null; `surface`: what is played on, in a word.
export function drawChart(pen, width, camera, surface, times, now, ink) {
  const scale = scaleOf(camera, times, width);
  pen.fillStyle = ink.paper;
  pen.fillRect(0, 0, width, CHART_PX);
  drawGrid(pen, scale, width, ink);
  drawLine(pen, scale, camera.split_turf, { colour: ink.accent, width: 2.5, dash: [] });
  drawLine(pen, scale, camera.split_subject, { colour: ink.cover, width: 2, dash: [5, 4] });
  drawInShot(pen, scale, camera.in_shot, ink);
  if (now !== null && now >= times[0] && now <= times.at(-1)) drawNow(pen, scale, now, ink);
  drawKey(pen, surface, ink);
}

export function chartWords(name, camera, surface) {
  const known = camera.split_turf.filter((value) => value !== null);
  if (!known.length) return `${name}: no edge in shot during the match.`;
  const [low, high] = [Math.min(...known), Math.max(...known)];
  return `Split of ${name} over the match: ${low.toFixed(1)} to ${high.toFixed(1)} stops on ${surface}. The figures give the shown time.`;
}

function scaleOf(camera, times, width) {
  const known = [...camera.split_turf, ...camera.split_subject].filter((value) => value !== null);
  const top = Math.max(2, Math.ceil(Math.max(0, ...known)));
  const [first, last] = [times[0], times.at(-1)];
  return {
    top,
    times,
    x: (epoch) => EDGE.left + ((epoch - first) / (last - first)) * (width - EDGE.left - EDGE.right),
    y: (stops) => EDGE.top + (1 - stops / top) * (CHART_PX - EDGE.top - EDGE.low),
  };
}

function drawGrid(pen, scale, width, ink) {
  pen.font = FONT;
  pen.textAlign = "right";
  pen.textBaseline = "middle";
  pen.fillStyle = ink.soft;
  pen.strokeStyle = ink.line;
  pen.lineWidth = 0.5;
  for (let stops = 0; stops <= scale.top; stops += scale.top > 4 ? 2 : 1) {
    pen.stroke(new Path2D(`M${EDGE.left} ${scale.y(stops)}H${width - EDGE.right}`));
    pen.fillText(String(stops), EDGE.left - 6, scale.y(stops));
  }
}

// A line that breaks where there is no value.
function drawLine(pen, scale, values, { colour, width, dash }) {
  const path = new Path2D();
  let open = false;
  values.forEach((value, k) => {
    if (value !== null) path[open ? "lineTo" : "moveTo"](scale.x(scale.times[k]), scale.y(value));
    open = value !== null;
  });
  pen.strokeStyle = colour;
  pen.lineWidth = width;
  pen.setLineDash(dash);
  pen.stroke(path);
  pen.setLineDash([]);
}

// The bar beneath the lines: where the edge is in this camera's coverage.
function drawInShot(pen, { times, x }, inShot, ink) {
  pen.fillStyle = ink["shade-line"];
  for (let k = 0; k + 1 < times.length; k += 1) {
    if (inShot[k]) pen.fillRect(x(times[k]), CHART_PX - EDGE.low + 5, x(times[k + 1]) - x(times[k]) + 0.5, 6);
  }
}

function drawNow(pen, scale, now, ink) {
  pen.strokeStyle = ink.ink;
  pen.lineWidth = 2;
  pen.stroke(new Path2D(`M${scale.x(now)} ${EDGE.top - 6}V${CHART_PX - EDGE.low + 14}`));
}

function drawKey(pen, surface, ink) {
  const y = CHART_PX - 10;
  let x = EDGE.left;
  pen.font = FONT;
  pen.textAlign = "left";
  pen.textBaseline = "middle";
  pen.lineWidth = 2.5;
  for (const [text, colour, dash] of [[surface, ink.accent, []], ["subject", ink.cover, [5, 4]], ["bar: edge in shot", null, []]]) {
    if (colour) {
      pen.strokeStyle = colour;
      pen.setLineDash(dash);
      pen.stroke(new Path2D(`M${x} ${y}h18`));
      x += 22;
    }
    pen.fillStyle = ink.ink;
    pen.fillText(text, x, y);
    x += pen.measureText(text).width + 12;
  }
  pen.setLineDash([]);
}
