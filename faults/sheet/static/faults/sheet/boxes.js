// The boxes on the way, and how far and in which direction each is from where the phone is.

import { fill, h } from "./view.js";

const FT_PER_DEGREE = 364567.2;
const FT_PER_M = 1 / 0.3048;
// A phone's accuracy is mostly the radius of 68 %; nine times in ten it is within this many of it.
export const NINETY_OF_68 = 1.4216;
const ARROWS = "↑↗→↘↓↙←↖";

/**
 * @param {[number, number]} from latitude, longitude
 * @param {[number, number]} to
 * @returns {{feet: number, degrees: number}} clockwise from north
 */
export function towards(from, to) {
  const north = (to[0] - from[0]) * FT_PER_DEGREE;
  const east = (to[1] - from[1]) * FT_PER_DEGREE * Math.cos((from[0] * Math.PI) / 180);
  return { feet: Math.hypot(north, east), degrees: (Math.atan2(east, north) * 180) / Math.PI + (east < 0 ? 360 : 0) };
}

export const eighth = (degrees) => Math.round(degrees / 45) % 8;

/** What is said of a box from here: the error is the box's and the phone's together. */
export function said(box, coords, words, unit) {
  const { feet, degrees } = towards([coords.latitude, coords.longitude], box.at);
  const error = Math.hypot(box.error_ft, coords.accuracy * FT_PER_M * NINETY_OF_68);
  const shown = (value) => `${Math.round(value / unit.factor)} ${unit.unit}`;
  if (feet <= error) return { arrow: "◎", words: fill(words.here, shown(error)) };
  const n = eighth(degrees);
  return { arrow: ARROWS[n], words: fill(words.go, { far: shown(feet), way: words.ways.split("|")[n], error: shown(error) }) };
}

// The box that is looked for, with what was said last: a sheet is drawn again whenever something goes
// up or comes in, and the search for a box goes on through that.
let sought = null;

function stop() {
  if (sought) navigator.geolocation.clearWatch(sought.watch);
  sought = null;
}

export function drawBoxes(step, sheet) {
  const { words } = step;
  return h("section", { class: "panel" }, h("h3", {}, words.boxes), h("ul", { class: "rows" }, step.boxes.map((box) => boxRow(box, words, sheet.data.job.length))));
}

export function drawPhotos(step) {
  return h("section", { class: "panel" }, h("h3", {}, step.words.photos), photos(step.photos, step.words));
}

// Not to be had last time: each drawing of the step would let them jump. Signal may bring them.
const missing = new Set();
window.addEventListener("online", () => missing.clear());

/** Each with its words; of one that the phone has not taken along the words alone. */
function photos(shown, words) {
  if (!shown || !shown.length) return null;
  return h("div", { class: "photos" }, shown.map(({ src, words: told, size }) => {
    const instead = h("p", { class: "soft" }, words.no_photo);
    const gone = ({ target }) => { missing.add(src); target.replaceWith(instead); };
    const picture = missing.has(src) ? instead : h("img", { src, alt: told, width: size[0], height: size[1], loading: "lazy", error: gone });
    return h("figure", {}, picture, h("figcaption", {}, told));
  }));
}

function boxRow(box, words, unit) {
  const told = h("p", { class: "told", role: "status" });
  const button = h("button", { type: "button", class: "tap quiet", click: () => find(box, words, unit, row) });
  const row = { told, button, words };
  const error = box.error_ft === undefined ? "" : fill(words.error, `${Math.max(1, Math.round(box.error_ft / unit.factor))} ${unit.unit}`);
  if (sought && sought.name === box.name) sought.row = row;
  show(row);
  return h("li", {}, h("b", {}, box.name), h("span", { class: "soft" }, box.words),
    box.ties.map((tie) => h("p", {}, tie)),
    photos(box.photos, words),
    box.clash ? h("p", { class: "caution" }, box.clash) : null,
    box.at ? [h("div", { class: "taps" }, button), told, error ? h("p", { class: "soft" }, error) : null] : null);
}

function show({ told, button, words }) {
  const isOn = sought !== null && sought.row.button === button;
  button.setAttribute("aria-pressed", String(isOn));
  button.textContent = isOn ? words.stop : words.find;
  if (isOn) told.replaceChildren(...sought.told);
  else told.replaceChildren();
}

function find(box, words, unit, row) {
  const before = sought && sought.row;
  stop();
  if (before) show(before);
  if (before && before.button === row.button) return;
  if (!navigator.geolocation) { row.told.textContent = fill(words.failed, "-"); return; }
  const mine = sought = { name: box.name, row, told: [words.waiting], watch: 0 };
  const say = (...told) => {
    if (sought !== mine) return;
    mine.told = told;
    // Another step is open: nobody looks, and the battery lasts.
    if (!mine.row.told.isConnected) stop();
    else show(mine.row);
  };
  show(row);
  mine.watch = navigator.geolocation.watchPosition(
    ({ coords }) => {
      const now = said(box, coords, words, unit);
      say(h("span", { class: "arrow", "aria-hidden": "true" }, now.arrow), ` ${now.words}`);
    },
    (problem) => say(fill(words.failed, problem.message)),
    { enableHighAccuracy: true, timeout: 30000, maximumAge: 2000 },
  );
}
