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

// Whether there is less light than an iris asks for that the lens has wide open. Of a lens: its
// widest and its narrowest T-number.
export function isWideOpen(t, [widest]) {
  return t * TENTH < widest;
}

// Whether there is more light than an iris asks for that the lens has closed all the way.
export function isClosed(t, [, narrowest]) {
  return t > narrowest * TENTH;
}

// What an iris is set to: as far as the lens goes.
export function setT(t, [widest, narrowest]) {
  return Math.max(Math.min(t, narrowest), widest);
}

// What an iris is set to, in words.
export function irisWords(t, lens) {
  if (t === null || t === undefined) return "\u2013";
  const set = `T${setT(t, lens).toFixed(1)}`;
  if (isWideOpen(t, lens)) return `${set}, wide open`;
  if (!isClosed(t, lens)) return set;
  return `${set}, closed all the way, ${(2 * Math.log2(t / lens[1])).toFixed(1)} stops too bright`;
}

// Whole stops as the wheel is marked.
export function ndWords(stops) {
  if (stops === null || stops === undefined) return "\u2013";
  if (stops === 0) return "no ND";
  return Number.isInteger(stops) ? `ND 1/${2 ** stops}` : `ND ${stops} stops`;
}
