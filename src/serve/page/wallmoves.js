// Cameras that go over to other grounds of the day, and home. In: the grounds and who works
// there. Out: entries of who leads the day; nothing for all others.

import { base, get, post } from "./api.js";
import { button, make, option } from "./dom.js";
import { day } from "./walldata.js";
import { say } from "./wallenter.js";

const own = base.slice("/of/".length);

async function move(body, words) {
  try {
    await post("/api/grounds/move", { from: own, ...body });
    say(`${words}: in. U takes it back.`);
  } catch (refusal) {
    say(refusal.status === 0 ? `${words}: NOT in, no answer from the truck.` : `${words}: not in. ${refusal.message}`);
  }
}

// Places of all other grounds, each with the moments of play that are ahead there.
async function others() {
  const { grounds } = await get("/api/grounds");
  const sound = grounds.filter((one) => one.address !== own && !one.problems.length);
  return Promise.all(sound.map(async (one) => ({ ...one, state: await get(`/of/${one.address}/api/day`) })));
}

function moments(state, ground, title) {
  const ahead = state.moments.filter((one) => !one.known);
  return ahead.map((one) => option(`at ${one.name}${title ? ` of ${title}` : ""}`, JSON.stringify({ ground, moment: one.moment })));
}

export function moveParts(name, said) {
  if (!base) return [];
  const title = make("h3", { text: "Another ground" });
  if (said.away) {
    const home = () => move({ camera: name }, `${name} home`);
    return [title, make("div", { class: "row" }, make("span", { text: `With ${said.away}.` }), button("Home now", home))];
  }
  const place = make("select", { "aria-label": "Place at another ground", disabled: true }, option("looking ...", ""));
  const when = make("select", { "aria-label": "Goes over" }, option("now", ""));
  let known = [];
  const offer = () => {
    const to = place.value ? JSON.parse(place.value) : null;
    const there = known.find((one) => one.address === to?.ground);
    when.replaceChildren(option("now", ""), ...moments(day.state, own, ""), ...(there ? moments(there.state, there.address, there.title) : []));
  };
  others().then((found) => {
    known = found;
    const group = (one) => make("optgroup", { label: one.title ?? one.name }, ...one.state.cameras.map((camera) => option(`${one.title ?? one.name}: ${camera.name}${camera.out ? " (empty)" : ""}`, JSON.stringify({ ground: one.address, place: camera.name }))));
    place.replaceChildren(...found.map(group));
    place.disabled = !found.length;
    offer();
  }).catch((refusal) => say(refusal.message));
  place.addEventListener("change", offer);
  const go = () => {
    if (!place.value) return;
    const to = JSON.parse(place.value);
    const words = `${name} to ${to.place} ${when.selectedOptions[0].textContent}`;
    move({ camera: name, to, ...(when.value ? { moment: JSON.parse(when.value) } : {}) }, words);
  };
  return [title, make("div", { class: "row" }, place, when, button("Goes over", go, { id: "goes-over" }))];
}
