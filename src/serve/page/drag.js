// A handle: a button that is dragged by pointer or moved by arrow keys. In: where it is and what
// a movement means. Out: previews while it moves, one change at the end, nothing after Escape.

import { announce, make, whenQuiet } from "./dom.js";
import { edit, endPreview, preview } from "./exchange.js";

const KEY_STEP_M = 0.1;
const LARGE_STEP_M = 1;
const KEY_REST_MS = 700; // arrow keys pressed within this time are one change

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

// `spec`: { label, shape, set(d) -> [{address, value}], words(set) } or with aim(d) and drop(d);
// `frame()`: pixels per metre of its drawing, along and up; `show(d)`: draws it moved.
export function makeHandle(spec, frame, show) {
  const node = make("button", {
    type: "button",
    class: `handle handle-${spec.shape}`,
    "aria-label": spec.label,
    "aria-describedby": "handle-help",
    title: spec.label,
  });
  const motion = { start: null, d: [0, 0] };

  const move = (d) => {
    motion.d = d;
    show(d);
    const set = spec.set ? spec.set(d) : [];
    if (spec.set) preview(set);
    const words = spec.words?.(set, d);
    if (words) announce(words);
  };
  const back = () => {
    motion.start = null;
    motion.d = [0, 0];
    show([0, 0]);
    endPreview(true);
  };
  const finish = async () => {
    const { d } = motion;
    if (d[0] === 0 && d[1] === 0) return;
    if (spec.set && !spec.set(d).length) return back(); // it ends where it began
    motion.d = [0, 0];
    endPreview(false);
    const taken = spec.drop ? await spec.drop(d) : await edit(spec.set(d), spec.label);
    if (!taken) show([0, 0]);
  };
  const finishLater = whenQuiet(finish, KEY_REST_MS);

  node.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    node.focus({ preventScroll: true });
    node.setPointerCapture(event.pointerId);
    motion.start = [event.clientX, event.clientY];
    node.classList.add("held");
  });
  node.addEventListener("pointermove", (event) => {
    if (!motion.start) return;
    const { perAlong, perUp } = frame();
    move([(event.clientX - motion.start[0]) / perAlong, (event.clientY - motion.start[1]) / perUp]);
  });
  node.addEventListener("pointerup", () => {
    node.classList.remove("held");
    if (!motion.start) return;
    motion.start = null;
    finish();
  });
  node.addEventListener("pointercancel", () => {
    node.classList.remove("held");
    back();
  });
  node.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Escape") back();
    else if (event.key === "Enter") finish();
    else if (ARROWS[event.key]) {
      const step = event.shiftKey ? LARGE_STEP_M : KEY_STEP_M;
      const { perUp } = frame();
      const [x, y] = ARROWS[event.key];
      move([motion.d[0] + x * step, motion.d[1] + y * step * (perUp === 0 ? 0 : 1)].map((value) => Number(value.toFixed(4))));
      finishLater();
    } else return;
    event.preventDefault();
    event.stopPropagation();
  });
  node.addEventListener("blur", () => {
    if (!motion.start) finish();
  });
  return node;
}
