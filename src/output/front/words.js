// Words for a camera and what it has to do, the same on the live page and on the board.

// The number that the plan has at camera k, and its name: "1 main", "1: 3 tee" where the name
// begins with another number.
export function cameraTitle(k, name) {
  if (name.startsWith(`${k + 1} `)) return name;
  return /^\d/.test(name) ? `${k + 1}: ${name}` : `${k + 1} ${name}`;
}

export const VERDICTS = {
  hold: "One iris for both",
  ride: "Ride the iris",
  choose: "Expose for sun or for shade",
  none: "Nothing to do: no edge in the picture",
};

export const LENS = {
  clear: "behind, off the lens",
  shaded: "ahead, but the lens is in shade",
  on_element: "flare: on the front element",
  in_frame: "in frame",
};

// A tenth of a stop, as a factor of T-numbers.
const TENTH = 2 ** 0.05;

// Whether there is less light than an iris asks for that the lens has wide open.
export function isWideOpen(t, widest) {
  return t * TENTH < widest;
}

// What an iris is set to: no wider than the lens opens.
export function irisWords(t, widest) {
  if (t === null || t === undefined) return "\u2013";
  return isWideOpen(t, widest) ? `T${widest.toFixed(1)}, wide open` : `T${Math.max(t, widest).toFixed(1)}`;
}

// Whole stops as the wheel is marked.
export function ndWords(stops) {
  if (stops === null || stops === undefined) return "\u2013";
  if (stops === 0) return "no ND";
  return Number.isInteger(stops) ? `ND 1/${2 ** stops}` : `ND ${stops} stops`;
}
