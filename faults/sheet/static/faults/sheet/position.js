// The phone's position, only on request, and never without its accuracy.

import { fill, h } from "./view.js";

const FT_PER_M = 1 / 0.3048;
const ASK = { enableHighAccuracy: true, timeout: 30000, maximumAge: 10000 };

export function takePosition(field, at) {
  const known = at.draft[field.name];
  const said = h("p", { role: "status" }, known ? fill(at.words.position_taken, inWords(known, at)) : "");
  const take = () => {
    said.textContent = at.words.position_wait;
    if (!navigator.geolocation) { said.textContent = fill(at.words.position_failed, "-"); return; }
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        at.draft[field.name] = { latitude: coords.latitude, longitude: coords.longitude, accuracy_ft: coords.accuracy * FT_PER_M };
        at.keep();
        said.textContent = fill(at.words.position_taken, inWords(at.draft[field.name], at));
      },
      (problem) => { said.textContent = fill(at.words.position_failed, problem.message); },
      ASK,
    );
  };
  return [h("button", { type: "button", class: "quiet", click: take }, at.words.position), said];
}

const inWords = ({ accuracy_ft: feet }, at) =>
  `± ${Math.round(feet / at.length.factor)} ${at.length.unit}`;
