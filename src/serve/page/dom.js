// Small helpers for the document. In: names, texts, values. Out: nodes.
// All text goes in through textContent, since names in a venue file may be hostile.

export function byId(id) {
  return document.getElementById(id);
}

// make("button", { class: "small", text: "Add", type: "button", on: { click } }, child, child)
export function make(tag, props = {}, ...children) {
  const node = document.createElement(tag);
  dress(node, props);
  node.append(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

const SVG_SPACE = "http://www.w3.org/2000/svg";

export function makeSvg(tag, props = {}, ...children) {
  const node = document.createElementNS(SVG_SPACE, tag);
  dress(node, props);
  node.append(...children);
  return node;
}

function dress(node, props) {
  for (const [name, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "text") node.textContent = value;
    else if (name === "class") node.setAttribute("class", value);
    else if (name === "on") for (const [event, act] of Object.entries(value)) node.addEventListener(event, act);
    else if (name === "value") [node.value, node.defaultValue] = [value, value];
    else node.setAttribute(name, value === true ? "" : String(value));
  }
}

export function button(text, act, props = {}) {
  return make("button", { type: "button", text, ...props, on: { click: act } });
}

// Writes only what has changed, so that dragging costs no needless layout.
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

export function option(text, value, chosen = false) {
  return new Option(text, value, chosen, chosen);
}

// A labelled control; `hint` says what is meant or allowed.
export function labelled(text, control, hint = "") {
  const id = control.id || freshId("control");
  control.id = id;
  const box = make("div", { class: "labelled" }, make("label", { for: id, text }), control);
  if (hint) {
    const note = make("p", { class: "note", id: `${id}-hint`, text: hint });
    control.setAttribute("aria-describedby", note.id);
    box.append(note);
  }
  return box;
}

let counter = 0;

export function freshId(stem) {
  counter += 1;
  return `${stem}-${counter}`;
}

// Storage may be forbidden (private window): the page works without.
export function recall(key) {
  try {
    return localStorage.getItem(`quarterstop-live-${key}`);
  } catch {
    return null;
  }
}

export function remember(key, text) {
  try {
    localStorage.setItem(`quarterstop-live-${key}`, text);
  } catch {
    // Nothing to do: the setting then lasts as long as the page is open.
  }
}

let spoken = 0;

// For people who hear the page: said once, shown nowhere else.
export function announce(text) {
  clearTimeout(spoken);
  spoken = setTimeout(() => setText(byId("spoken"), text), 60);
}

// Runs `work` once per frame however often it is asked for.
export function oncePerFrame(work) {
  let asked = false;
  return () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(() => {
      asked = false;
      work();
    });
  };
}

// Runs `work` at most once in `ms` milliseconds, the last time after it was last asked for.
export function atMostEvery(ms, work) {
  let timer = 0;
  return () => {
    timer ||= setTimeout(() => {
      timer = 0;
      work();
    }, ms);
  };
}

// Runs `work` when nothing more was asked for `ms` milliseconds.
export function whenQuiet(work, ms) {
  let timer = 0;
  return (...args) => {
    clearTimeout(timer);
    timer = setTimeout(() => work(...args), ms);
  };
}
