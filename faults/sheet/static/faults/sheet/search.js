// The search: what to do next, results in one tap, what is likely, and every test that was made.

import { LEAST_SHOWN } from "../locating/data.js";
import { errorIfOffTheWire } from "../locating/off_the_wire.js";
import { isPending } from "./keep.js";
import { isLoading, load, planFor, toldFor } from "./plan.js";
import { rounded, share } from "./shown.js";
import { NotAnAnswer, drawForm } from "./step.js";
import { bandsOf, drawStrip } from "./strip.js";
import { effectLines, findingLines, isLost, placesOf } from "./told.js";
import { fill, h } from "./view.js";
import { whyOf } from "./why.js";

// More ways than these nobody reads in a field; any test can be chosen below them.
const MOST_OFFERED = 9;
const POINT_OF = { "read ohms": 0, "check controller": 0, "prove wire": 0, "check valve": -1 };

export function drawSearch(step, sheet) {
  const draft = sheet.draft("search");
  const open = step.searches.filter((each) => !each.none);
  const one = open.find((each) => each.station === draft.station) || open[0];
  if (!one) return step.searches.map((each) => h("p", { class: "problem" }, `${each.name}: ${each.none}`));
  load(() => sheet.draw({ gently: true }));
  const now = current(one, step, sheet);
  // What a station without a master valve is asked differs from what one with it is.
  const actions = { ...step.actions, ...one.actions };
  const at = { step: { ...step, actions }, sheet, draft, one, now, words: step.words };
  if (!now.key) return [whichOne(open, at), begin(at)];
  const stand = standOf(at);
  const plan = planFor(now.plain, stand);
  at.told = toldFor(now.plain, stand, (plan && plan.options) || [], aboutOf(at));
  at.place = placesOf(now.plain.line, one.names, stand, step.words, (feet) => length(feet, sheet));
  const said = findingLines(at);
  // What "found" asks for next stands first in its list.
  if (plan && plan.belief) sheet.likely[one.station] = now.plain.line.legs.map((leg, i) => [leg.id, plan.belief.legs[i]]);
  return [
    whichOne(open, at),
    plan && plan.contradiction && !said.length ? h("p", { class: "problem", role: "alert" }, step.words.contradiction) : null,
    said.filter((each) => each.is_grave).map((each) => h("p", { class: "caution" }, each.words)),
    plan && plan.options ? advise(plan, at) : h("p", { class: "remark" }, isLoading() ? "…" : plan && plan.contradiction ? step.words.nothing_more : step.words.no_plan),
    said.filter((each) => !each.is_grave).map((each) => h("p", { class: "remark" }, each.words)),
    another(at),
    plan && plan.belief ? likely(plan, at) : null,
    tests(at),
    drawForm({ ...step.end, body: { search: now.key, station: one.station } }, "end", step, sheet),
  ];
}

/** The search as it stands here: what the server knows, and on top of it what waits to be sent. */
function current(one, step, sheet) {
  const mine = sheet.state.mine.filter((thing) => isPending(thing) && thing.body.station === one.station);
  const begun = mine.find((thing) => thing.kind === "search");
  const ended = mine.some((thing) => thing.kind === "search end");
  const key = one.plain.is_open ? one.plain.id : begun && begun.id;
  const voided = new Set(mine.filter((thing) => thing.kind === "search void").map((thing) => thing.body.of));
  const known = new Set(one.plain.readings.map((reading) => reading.id));
  const unsent = mine.filter((thing) => thing.kind === "search test" && !known.has(thing.id));
  // Not the search's own: earlier tests of this wire, mends, and what readings say.
  const readings = [
    ...one.plain.readings.map((reading) => ({ ...reading, words: reading.words ?? one.said[reading.id] })),
    ...unsent.map((thing) => ({ ...thing.body.said, id: thing.id, at: thing.at, words: thing.title, isUnsent: thing.state === "waiting" })),
  ].map((reading) => ({ ...reading, voided: reading.voided || voided.has(reading.id) }));
  const begunAt = one.plain.is_open ? one.started_at : begun && begun.at;
  return { key: ended ? null : key, begunAt, readings, plain: { ...one.plain, ...equipped(one.plain, begun), readings } };
}

/** How long the search runs, and how long it may. */
const aboutOf = ({ one, now, sheet }) => ({
  minutes: (Date.now() - new Date(now.begunAt).getTime()) / 60000,
  budget_min: (one.started_at ? one.budget_min : sheet.data.authority?.left_man_min) ?? null,
});

/** What was said to be at hand when the search began, before the server has heard of it. */
function equipped(plain, begun) {
  if (plain.is_open || !begun) return {};
  const has = (tool) => (begun.body.tools || []).includes(tool);
  return {
    soil_is_dry: begun.body.soil_is_dry === true,
    tools: {
      ...plain.tools,
      distance_at_controller: has("distance"),
      distance_at_valve: has("distance"),
      may_cut: begun.body.may_cut === true,
      clamp: has("clamp"),
      insulation: has("insulation"),
      gradient: has("gradient"),
      jumper: has("jumper"),
    },
  };
}

function whichOne(open, { one, draft, sheet, words }) {
  if (open.length < 2) return null;
  const pick = (event) => { draft.station = Number(event.target.value); sheet.keepDrafts(); sheet.draw(); };
  return h("label", {}, words.which_station, h("select", { id: "which-search", change: pick },
    open.map((each) => h("option", { value: each.station, selected: each === one }, each.name))));
}

let isToBeShown = false;

/** After the start the first thing to do is brought before the eyes, and to who cannot see it. */
function showNext() {
  isToBeShown = false;
  requestAnimationFrame(() => {
    document.querySelector(".do-next").scrollIntoView({ block: "start" });
    document.getElementById("do-next").focus({ preventScroll: true });
  });
}

function begin({ step, sheet, one, words }) {
  const keep = async (body) => {
    isToBeShown = true;
    isToBeShown = Boolean(await sheet.add("search", body, words.start_search)) && isToBeShown;
  };
  const fields = [
    { name: "tools", type: "choices", label: words.at_hand, options: step.tools },
    { name: "may_cut", type: "tick", label: words.may_cut, value: true },
    { name: "soil_is_dry", type: "tick", label: words.soil_is_dry },
  ];
  return drawForm({ kind: "search", said: words.start_search, title: words.at_hand_title, button: words.start_search, fields, body: { station: one.station }, keep }, "begin", step, sheet);
}

function standOf({ now, one, draft }) {
  const { points } = now.plain.line;
  const at = points.includes(draft.at) ? draft.at : points[0];
  // Where this phone fed no tone, the server knows where somebody did.
  const { tone_from: fed = null, tone_on: on = "hot" } = one.stand || {};
  const tone = points.includes(draft.toneFrom) ? { tone_from: draft.toneFrom, tone_on: draft.toneOn || "hot" } : { tone_from: fed, tone_on: on };
  return { at, open_box: draft.openBox === at ? at : null, ...tone };
}

const name = (at, point) => at.one.names[point] ?? "?";
const legName = (at, id) => at.now.plain.line.legs.find((leg) => leg.id === id)?.name ?? "?";

/** How far along its leg a hole lies, and from which point. */
function holeOf({ feet, leg }, { now, one, sheet }) {
  if (feet === undefined) return {};
  const { legs, points } = now.plain.line;
  return { feet: length(feet, sheet), start: one.names[points[legs.findIndex((each) => each.id === leg)]] };
}

function inWords(action, at) {
  const known = at.step.actions[action.action];
  if (!known) return action.action;
  const isFed = action.fed_at !== undefined;
  const isCommon = action.conductor === "common" && known.common;
  const words = isCommon ? known.common : isFed ? known.fed : known.words;
  const [point, to] = [name(at, action.point), name(at, action.to_point)];
  return fill(words, { point, to_point: to, fed: name(at, action.fed_at), leg: legName(at, action.leg), ...holeOf(action, at) })
    + (action.from_valve ? `, ${at.words.from_valve}` : "");
}

function advise(plan, at) {
  const { sheet, draft, words } = at;
  const [first, ...others] = plan.options.slice(0, MOST_OFFERED);
  const points = at.now.plain.line.points;
  const move = (event) => { draft.at = Number(event.target.value); sheet.keepDrafts(); sheet.draw(); };
  const stand = h("label", {}, words.you_stand, h("select", { id: "you-stand", change: move },
    points.map((point, i) => h("option", { value: point, selected: point === standOf(at).at }, `${mark(i, points)} ${name(at, point)}`))));
  if (!first) return stand;
  if (isToBeShown) showNext();
  return [
    stand,
    h("section", { class: "panel do-next" }, h("h3", { id: "do-next", tabindex: "-1" }, words.do_next), card(first, at, 0)),
    h("details", { class: "panel" }, h("summary", {}, `${words.other_ways} (${others.length})`),
      others.map((option, i) => h("section", { class: "option" }, card(option, at, i + 1)))),
  ];
}

const mark = (i, points) => (i === 0 ? "◉" : i === points.length - 1 ? "▽" : `${i}.`);

/** Who walks stops where the place shows: the minutes of a walk are the most that it takes. */
const isWalk = ({ action: { action } }) => ["walk tone", "walk gradient"].includes(action);

/** An action, its place in the plan, its minutes, and a button for each result: one tap records it. */
function card(option, at, rank) {
  const words = inWords(option.action, at);
  const minutes = option.minutes === undefined ? null : h("p", { class: "minutes" },
    h("b", {}, fill(isWalk(option) ? at.words.most_minutes : at.words.own_minutes, rounded(option.own_min))), " · ", fill(at.words.all_minutes, rounded(option.minutes)));
  const facts = rank === undefined ? null : at.told?.reasons[rank];
  const why = facts ? whyOf(option, facts, at.place) : "";
  return [h("p", { class: "action" }, words), why ? h("p", { class: "why" }, why) : null, minutes, results(option.action, words, at)];
}

function results(action, words, at) {
  const known = at.step.actions[action.action];
  if (!known) return null;
  if (known.number) return distanceForm(action, words, at);
  const buttons = known.results.map(([label, said]) =>
    h("button", { type: "button", class: isAnswer(said, at) ? "tap" : "tap quiet", "aria-pressed": said.check ? String(isAnswer(said, at)) : null,
      click: () => record(action, said, `${words}: ${label}`, at) }, label));
  const taps = h("div", { class: "taps", role: "group", "aria-label": words }, buttons);
  return known.fields ? [taps, levelForm(action, known, words, at)] : taps;
}

/** A look has several parts: whether this is what was last said of its part, and nothing mended since. */
function isAnswer(said, { now }) {
  const last = said.check && now.readings.findLast((one) => !one.voided && one.check === said.check);
  return Boolean(last) && last.kind === "check" && last.is_right === said.is_right;
}

/** The receiver's number between its two marks, where thirds are too rough. */
function levelForm(action, known, words, at) {
  const keep = (body) => {
    if (body.on_sound_wire === body.at_transmitter) throw new NotAnAnswer(at.words.same_marks);
    return record(action, { ...known.said, ...body }, `${words}: ${body.level}`, at);
  };
  return drawForm({ kind: "search test", title: "", button: at.words.keep_test, fields: known.fields, keep }, action.action, at.step, at.sheet);
}

const PLACES = ["point", "to_point", "leg", "conductor", "from_valve", "fed_at"];

async function record(action, said, title, { sheet, draft, one, now }) {
  if (!said.kind) { sheet.go("found"); return; }
  const { points } = now.plain.line;
  const places = Object.fromEntries(PLACES.filter((place) => place in action).map((place) => [place, action[place]]));
  const end = points.at(POINT_OF[action.action]);
  draft.at = action.to_point ?? action.point ?? (action.action in POINT_OF ? end : draft.at);
  draft.openBox = action.point !== undefined && action.to_point === undefined ? action.point : null;
  if (action.action === "walk tone") {
    draft.toneFrom = action.fed_at ?? action.point;
    draft.toneOn = action.conductor || "hot";
  }
  if (said.check === "wire" && said.kind === "check") {
    draft.toneFrom = points.at(-1);
    draft.toneOn = "hot";
  }
  if (said.kind === "tone level" || said.kind === "listened") {
    draft.toneFrom = points.at(said.from_valve ? -1 : 0);
    draft.toneOn = "hot";
  }
  await sheet.add("search test", { search: now.key, station: one.station, said: { ...said, ...places } }, title);
}

function distanceForm(action, words, at) {
  const { sheet } = at;
  const unit = sheet.data.job.length;
  const fields = [
    { name: "feet", type: "number", label: at.words.distance, required: true, ...unit },
    { name: "sd_ft", type: "number", label: at.words.give_or_take, ...unit },
    { name: "is_farthest", type: "tick", label: at.words.farthest },
  ];
  const key = `distance-${action.from_valve ? "valve" : "controller"}`;
  const wire_ft = at.now.plain.line.legs.reduce((sum, leg) => sum + leg.length_ft, 0);
  const keep = (body) => {
    const said = { kind: "distance", from_valve: action.from_valve === true, ...body };
    if (body.sd_ft !== undefined) said.sd_share = 0;
    const error = errorIfOffTheWire(at.now.plain, said);
    if (error !== null) {
      const off = body.feet < 0 ? at.words.before_start : at.words.off_the_wire;
      throw new NotAnAnswer(fill(off, { feet: length(body.feet, sheet), all: length(wire_ft, sheet), error: length(error, sheet) }));
    }
    // Most often a wrong unit or digit: asked once, then kept as the instrument showed it.
    if (body.feet > wire_ft && !body.is_farthest && at.draft.beyond !== body.feet) {
      at.draft.beyond = body.feet;
      throw new NotAnAnswer(fill(at.words.beyond, { feet: length(body.feet, sheet), all: length(wire_ft, sheet) }));
    }
    delete at.draft.beyond;
    return record(action, said, `${words}: ${Math.round(body.feet / unit.factor)} ${unit.unit}`, at);
  };
  return drawForm({ kind: "search test", title: "", button: at.words.keep_test, fields, keep }, key, at.step, sheet);
}

/** A test that the plan does not name: choose which, and where. */
function another(at) {
  const { step, sheet, draft, words } = at;
  const { points, legs } = at.now.plain.line;
  const chosen = { action: draft.other || "open box", point: draft.otherPoint ?? points[1] ?? points[0], to_point: draft.otherTo ?? points.at(-1), leg: draft.otherLeg ?? legs[0].id };
  const set = (key, isNumber) => (event) => { draft[key] = isNumber ? Number(event.target.value) : event.target.value; sheet.keepDrafts(); sheet.draw(); };
  const pick = (label, key, value, options, isNumber = true) => h("label", {}, label, h("select", { id: `other-${key}`, change: set(key, isNumber) },
    options.map(([each, text]) => h("option", { value: each, selected: each === value }, text))));
  const template = step.actions[chosen.action].words;
  const places = points.map((point, i) => [point, `${mark(i, points)} ${name(at, point)}`]);
  const boxes = chosen.action.startsWith("walk") ? places : places.slice(1, -1);
  const action = { action: chosen.action };
  if (template.includes("%(point)s")) action.point = boxes.some(([id]) => id === chosen.point) ? chosen.point : boxes[0]?.[0];
  if (template.includes("%(to_point)s")) action.to_point = chosen.to_point;
  if (template.includes("%(leg)s")) action.leg = chosen.leg;
  // Where the ground is opened follows from what is likely: nobody names it.
  const named = Object.entries(step.actions).filter(([key]) => key !== "open ground");
  const kinds = named.map(([key, known]) => [key, fill(known.words, { point: "…", to_point: "…", leg: "…" })]);
  return h("details", { class: "panel" }, h("summary", {}, words.another_test),
    pick(words.another_test, "other", chosen.action, kinds, false),
    "point" in action ? pick("to_point" in action ? words.from_where : words.where, "otherPoint", action.point, boxes) : null,
    "to_point" in action ? pick(words.to_where, "otherTo", action.to_point, places) : null,
    "leg" in action ? pick(words.on_leg, "otherLeg", action.leg, legs.map((leg) => [leg.id, leg.name])) : null,
    "point" in action && action.point === undefined ? null : card({ action }, at));
}

/** The strip, the same in words, and the sentence that says how far the search is. */
function likely({ before, belief }, at) {
  const { words, sheet } = at;
  const { line } = at.now.plain;
  const places = [
    ...line.legs.map((leg, i) => [belief.legs[i], words.leg_line, leg.name]),
    ...belief.splices.map((mass, i) => [mass, words.splice_line, name(at, line.points[i])]),
    ...Object.entries(belief.outside).map(([cause, mass]) => [mass, words.line, at.step.outside[cause] || cause]),
  ].sort((a, b) => b[0] - a[0]);
  const shown = places.filter(([mass], i) => i === 0 || mass >= LEAST_SHOWN).slice(0, 8)
    .map(([mass, template, place]) => fill(template, { name: place, share: share(mass, words) }));
  const out = bandsOf(line, before, belief).filter((band) => band.isUnlikely).reduce((sum, band) => sum + band.leg.length_ft, 0);
  const all = line.legs.reduce((sum, leg) => sum + leg.length_ft, 0);
  const told = { out: length(out, sheet), all: length(all, sheet), best: shown[0] };
  return h("section", { class: "panel" }, h("h3", {}, words.likely),
    drawStrip(line, before, belief, words.strip, line.points.map((point) => name(at, point))), h("p", { class: "small" }, words.key),
    h("ol", { class: "likely" }, shown.map((each) => h("li", {}, each))),
    h("p", { class: "told" }, fill(out ? words.ruled_out : words.nothing_out, told)),
    h("details", { class: "small" }, h("summary", {}, words.counted),
      h("ul", {}, at.one.counted.map((each) => h("li", {}, each)))));
}

function length(feet, sheet) {
  const { unit, factor } = sheet.data.job.length;
  return `${Math.round(feet / factor)} ${unit}`;
}

function tests(at) {
  const { sheet, words, one, now } = at;
  const undo = (reading) => () => sheet.add("search void", { of: reading.id, station: one.station }, `${sheet.words.undo}: ${reading.words}`);
  const did = effectLines(at);
  const list = now.readings.filter((reading) => !reading.is_record).map((reading) => h("li", { class: reading.voided && !isLost(reading, one) ? "struck" : "" },
    h("time", {}, new Date(reading.at).toTimeString().slice(0, 5)), ` ${reading.words} `,
    h("span", {}, isLost(reading, one) ? "" : reading.voided ? `(${sheet.words.struck})` : reading.isUnsent ? `(${sheet.words.waiting})` : ""),
    reading.voided && !isLost(reading, one) ? null : h("button", { type: "button", class: "plain", click: undo(reading), "aria-label": `${sheet.words.undo}: ${reading.words}` }, sheet.words.undo),
    did.has(reading) ? h("p", { class: "small" }, did.get(reading)) : null));
  return h("section", { class: "panel" }, h("h3", {}, words.tests), list.length ? h("ol", { class: "recorded", id: "tests" }, list) : h("p", {}, words.no_tests));
}
