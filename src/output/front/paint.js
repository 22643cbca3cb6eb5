// Colours of the style sheet for what is drawn, on the live page and on the board alike.

const NAMES = ["paper", "ink", "soft", "line", "sun", "shade", "shade-line", "dim", "dim-line", "accent", "on-accent", "cover",
  "stand", "roof", "raised", "contour"];

export function inkOf(node) {
  const style = getComputedStyle(node);
  return Object.fromEntries(NAMES.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
}
