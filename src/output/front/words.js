// Words for what a camera has to do, the same on the live page and on the board.

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

// Whole stops as the wheel is marked.
export function ndWords(stops) {
  if (stops === null || stops === undefined) return "\u2013";
  if (stops === 0) return "no ND";
  return Number.isInteger(stops) ? `ND 1/${2 ** stops}` : `ND ${stops} stops`;
}
