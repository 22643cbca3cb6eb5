// Keeps what is in hand when fields are made anew. In: the nodes that stand there, new ones for
// the same things. Out: the same nodes where nothing is new, so that a field keeps the focus, what
// is marked and typed in it, and what was refused there.

const CONTROLS = "input,select";

// A node with a `mark` stands for all that it shows: equal marks, equal nodes. A node with a `group`
// holds others and stays; they are looked at one by one.
export function renew(box, fresh) {
  const old = new Map([...box.children].map((node) => [node.mark ?? node.group ?? node, node]));
  const wanted = fresh.map((node) => {
    const kept = old.get(node.mark ?? node.group);
    old.delete(node.mark ?? node.group);
    if (kept && node.group) renew(kept, [...node.children]);
    return kept ?? node;
  });
  const kept = new Set(wanted);
  for (const node of [...box.children]) if (!kept.has(node)) drop(node);
  let next = box.firstElementChild; // a node that stays is never moved, which would take its focus
  for (const node of wanted) {
    if (node === next) next = next.nextElementSibling;
    else box.insertBefore(node, next);
  }
}

// A browser would send the half of what is typed when its field goes.
function drop(node) {
  const at = document.activeElement;
  if (node.contains(at) && at.matches("input")) at.value = at.defaultValue;
  node.remove();
}

// The field that somebody is in, what is marked there, and what is typed and not sent yet.
export function inHand(box) {
  const at = document.activeElement;
  const row = box.contains(at) ? at.closest("[data-address]") : null;
  if (!row) return null;
  const typed = at.matches("input") && at.value !== at.defaultValue ? at.value : null;
  const caret = at.type === "text" ? [at.selectionStart, at.selectionEnd] : null;
  return { at, address: row.dataset.address, part: [...row.querySelectorAll(CONTROLS)].indexOf(at), typed, caret, shown: at.value };
}

// The same field after it was made anew. What was typed stays and is sent on leaving: a browser
// sees no change in what a script has put there.
export function takeUp(box, { at, address, part, typed, caret, shown }) {
  if (at.isConnected) return;
  const row = box.querySelector(`[data-address="${CSS.escape(address)}"]`);
  const control = row?.querySelectorAll(CONTROLS)[Math.max(0, part)];
  if (!control) return;
  control.focus();
  if (typed !== null) control.value = typed;
  const all = caret && caret[0] === 0 && caret[1] === shown.length;
  if (all) control.select();
  else if (caret) control.setSelectionRange(...caret);
  if (typed === null) return;
  let sent = false;
  control.addEventListener("change", () => (sent = true), { once: true });
  const send = () => sent || control.dispatchEvent(new Event("change"));
  control.addEventListener("blur", send, { once: true });
  control.addEventListener("keydown", ({ key }) => key === "Enter" && send());
}
