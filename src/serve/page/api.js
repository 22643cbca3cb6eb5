// Speaks with the server. In: paths and plain objects. Out: plain objects, or a `Refusal` with
// the server's problems. Keeps no state of the ground.

// Of one ground of several, on the screens of who leads them all: "/of/GROUND".
export const base = /^\/of\/[^/]+/.exec(location.pathname)?.[0] ?? "";

export class Refusal extends Error {
  // `status` 0: no answer at all.
  constructor(status, body) {
    const problems = Array.isArray(body?.problems) ? body.problems : [];
    super(problems.map((problem) => problem.text).join(" ") || statusWords(status));
    this.status = status;
    this.problems = problems.length ? problems : [{ text: this.message, key: null }];
    this.choices = body?.choices ?? null;
    this.ground = body?.ground ?? null;
    this.broken = body?.broken ?? null; // a file that does not read: its name and text
  }
}

function statusWords(status) {
  if (status === 0) return "No answer from quarterstop. Is it still running? Nothing that was saved is lost.";
  if (status === 401 || status === 403) return "This page is no longer signed in. Open the address that quarterstop printed.";
  if (status === 413) return "That is larger than the page may send.";
  if (status === 429 || status === 503) return "Too much was asked at once. It is tried again with the next change.";
  return `The server refused this (${status}).`;
}

// What all grounds have in common, and other grounds, stand at the root.
function addressOf(path) {
  return path.startsWith("/of/") || path.startsWith("/api/grounds") ? path : base + path;
}

async function ask(path, options, read = (answer) => answer.json()) {
  let answer;
  try {
    answer = await fetch(addressOf(path), { credentials: "same-origin", cache: "no-store", ...options });
  } catch (failure) {
    if (failure.name === "AbortError") throw failure;
    throw new Refusal(0, null);
  }
  let body = null;
  try {
    body = await (answer.ok ? read(answer) : answer.json());
  } catch {
    // An answer without a body, or not in JSON: the status says enough.
  }
  if (!answer.ok) throw new Refusal(answer.status, body);
  return body;
}

function withQuery(path, query) {
  const pairs = Object.entries(query).filter(([, value]) => value !== null && value !== undefined);
  const search = new URLSearchParams(pairs).toString();
  return search ? `${path}?${search}` : path;
}

export function get(path, query = {}, signal = undefined) {
  return ask(withQuery(path, query), { signal });
}

// The same for what is no JSON: a picture, what a command printed.
export function getText(path, query = {}, signal = undefined) {
  return ask(withQuery(path, query), { signal }, (answer) => answer.text());
}

// Sends a file as it is.
export function upload(path, file) {
  const headers = { "Content-Type": "application/octet-stream", "X-Quarterstop": "live" };
  return ask(path, { method: "POST", headers, body: file });
}

export function post(path, body = {}) {
  return ask(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-Quarterstop": "live" },
    body: JSON.stringify(body),
  });
}

// One question at a time; while it is out, only the newest of those that follow is kept.
export function newestWins(work) {
  let next = null;
  let busy = false;
  return async (...args) => {
    next = args;
    if (busy) return;
    busy = true;
    while (next) {
      const now = next;
      next = null;
      await work(...now);
    }
    busy = false;
  };
}

// The stream of events. Browsers open six connections to one host for all tabs together, so one
// tab holds the stream and passes events on; when it closes, another takes over.
export function listen(handlers, onState) {
  const channel = new BroadcastChannel(`quarterstop-live${base}`);
  const take = ({ name, data, up }) => {
    if (up !== undefined) onState(up);
    else handlers[name]?.(data);
  };
  const pass = (message) => {
    take(message);
    channel.postMessage(message);
  };
  channel.addEventListener("message", (event) => take(event.data));
  const hold = () => new Promise(() => {
    const stream = new EventSource(`${base}/api/events`);
    for (const name of Object.keys(handlers)) {
      stream.addEventListener(name, (event) => pass({ name, data: JSON.parse(event.data) }));
    }
    stream.addEventListener("open", () => pass({ up: true }));
    stream.addEventListener("error", () => pass({ up: false }));
  });
  if (navigator.locks) navigator.locks.request(`quarterstop-live-events${base}`, hold);
  else hold();
}
