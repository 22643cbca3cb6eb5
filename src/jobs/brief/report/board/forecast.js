// Part 4 of 9: what the forecast of the day says, as a bar over the whole plan and at the chosen
// time. Without a forecast the panel is not there.

const EXPECT_WORDS = { sun: "sun", cloud: "cloud", changing: "changing", either: "open", unknown: "no forecast" };
const EXPECT_FILLS = { sun: "sun", cloud: "shade", changing: "dimmed", either: "dimmed", unknown: "no-sun" };

function layForecast() {
  const bar = byId("forecast-bar");
  const { stretches, note } = data.forecast;
  for (const stretch of stretches) {
    const part = make("span", `run ${EXPECT_FILLS[stretch.expect]}`);
    part.style.flexGrow = String(stretch.until_s - stretch.from_s);
    part.append(make("span", "run-word", EXPECT_WORDS[stretch.expect]));
    bar.append(part);
  }
  bar.append(make("i", "bar-now"));
  bar.setAttribute("aria-label", stretches.map((stretch) => stretch.words).join("; "));
  setText(byId("forecast-note"), note);
}

function paintForecast() {
  const { stretches, minutes } = data.forecast;
  byId("forecast-bar").querySelector(".bar-now").style.left = `${timeShare(state.time) * 100}%`;
  const now = stretches.find((stretch) => instants[state.index] < stretch.until_s) ?? stretches.at(-1);
  setText(byId("forecast-now"), minutes[state.index] ?? "");
  setText(byId("forecast-words"), now?.words ?? "");
}

function startForecast() {
  byId("forecast").hidden = !data.forecast;
  if (!data.forecast) return;
  layForecast();
  painters.push(paintForecast);
}
