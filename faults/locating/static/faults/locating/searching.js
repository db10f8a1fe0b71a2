// The one searcher: what is believed, and what comes next.
// Follows faults/locating/engines/searching.py, worked.py and repeats.py.
import { prior } from "./belief.js";
import { AT_CONTROLLER, AT_VALVE, JOINT, MOST_RUNNING } from "./data.js";
import { afterReading, begun, nearest } from "./pairs.js";
import { ranked } from "./plan.js";

/** The line with other joints at some boxes. @param {Map<number, string>} joints by box */
function withJoints(line, joints) {
  if (!joints.size) return line;
  const boxes = line.boxes.map((box, i) => ({ ...box, joint: joints.get(i + 1) ?? box.joint }));
  return { ...line, boxes };
}

/** The line with each wire as it was seen in its open box; the last look holds. */
function asSeen(line, readings) {
  const looks = readings.filter((each) => each.kind === "looked" && each.joint !== JOINT.NOT_KNOWN);
  return withJoints(line, new Map(looks.map(({ point, joint }) => [point, joint])));
}

/** The line with a splice in each box whose wire was cut for a test. */
function asCut(line, readings) {
  const cuts = readings.filter((each) => "runs" in each);
  return withJoints(line, new Map(cuts.map(({ point }) => [point, JOINT.SPLICED])));
}

/** Whether the splice of a box was cut out since it was opened: by the last tests, all there. */
function isCutIn(readings, box) {
  for (const each of [...readings].reverse()) {
    if (each.point !== box || "to_point" in each) return false;
    if ("runs" in each) return true;
  }
  return false;
}

/** What is believed before any reading, of one fault and of two. @param {Search} search */
export const begunOf = ({ line, assumed, neighbours, readings }) =>
  begun(prior(asSeen(line, readings), assumed, neighbours), assumed);

/** What is believed after all readings. @param {Search} search @returns {Belief} */
export function believed(search) {
  return nearest(search.readings.reduce(
    (state, said) => afterReading(state, said, search.assumed, search.soilIsDry),
    begunOf(search),
  ));
}

/** Every useful action, the best first; what was asked twice running is not asked a third time. */
export function planned(search, stand) {
  const belief = believed(search);
  const line = asCut(belief.line, search.readings);
  const here = { ...stand, isCut: isCutIn(search.readings, stand.openBox) };
  const offered = ranked({ ...belief, line }, here, search.tools, search.assumed);
  const { readings, lacking } = search;
  const fresh = offered.filter(({ action }) => !isWornOut(action, readings, lacking));
  return fresh.length ? fresh : offered;
}

const CHECKS_AT = {
  "check controller": AT_CONTROLLER, "check valve": AT_VALVE, "prove wire": ["wire"],
};
const READING_OF = {
  "open box": "box",
  "cut box": "box",
  "measure insulation": "insulation",
  "read volts": "volts",
  listen: "listened",
  clamp: "clamp",
  "walk tone": "tone walked",
  "walk gradient": "gradient walked",
  bypass: "bypass",
  "renew leg": "bypass",
};

function isOf(action, said) {
  if (action.action in CHECKS_AT) {
    return said.kind === "check" && !said.by_ohms && CHECKS_AT[action.action].includes(said.check);
  }
  if (said.kind === "mended") return isMendBy(action, said);
  if (READING_OF[action.action] !== said.kind) return false;
  const isSame = (names, others = names) => names.every(
    (name, i) => !(name in action) || action[name] === said[others[i]]);
  const ways = ["point", "to_point"];
  // A walk back is the same walk.
  const isThere = isSame(ways) || ("to_point" in action && isSame(ways, ["to_point", "point"]));
  return isThere && isSame(["leg", "conductor"]);
}

/** Whether an action ended in this mend. */
function isMendBy({ action, point, to_point: to }, said) {
  if (["open box", "cut box", "measure insulation"].includes(action)) return said.point === point;
  const isWalk = ["walk tone", "walk gradient"].includes(action) && said.leg !== null;
  return isWalk && Math.min(point, to) <= said.leg && said.leg < Math.max(point, to);
}

/** Whether a reading leaves the run as it is: what was mended at an end, or a turn in one box. */
function isBeside({ action, point }, said) {
  if (said.kind === "mended" && said.check !== null) {
    return CHECKS_AT[action]?.includes(said.check) ?? false;
  }
  return ["listen", "clamp"].includes(action) && ["listened", "clamp"].includes(said.kind) &&
    point === said.point;
}

/** Whether volts were just read in this box: they stay as they are, unless they cannot be so. */
function isPlain({ point }, said) {
  return said?.kind === "volts" && said.point === point &&
    !(said.controller_bad === true && said.valve_bad === false);
}

/** How often both sides of a box read good since anything was mended. */
function timesSound({ point }, readings) {
  const mend = readings.findLastIndex(({ kind }) => kind === "mended");
  return readings.slice(mend + 1).filter((said) => said.kind === "box" && said.point === point &&
    said.controller_bad === false && said.valve_bad === false).length;
}

function isWornOut(action, readings, lacking) {
  // A new wire that did not help: no more wire is laid there.
  if (action.action === "renew leg") {
    return readings.some((said) => isOf(action, said) && said.stays && !said.works);
  }
  if (action.action === "read volts" && isPlain(action, readings.at(-1))) return true;
  if (["open box", "cut box"].includes(action.action) && timesSound(action, readings) >= MOST_RUNNING) {
    return true;
  }
  // A look at an end has several parts: it is over when none of them is behind.
  const run = new Map();
  for (const said of [...readings].reverse()) {
    const part = said.kind === "check" ? said.check : null;
    if (isOf(action, said)) run.set(part, (run.get(part) ?? 0) + 1);
    else if (!isBeside(action, said)) break;
  }
  // One that has just told of every part is over at once.
  if (CHECKS_AT[action.action]?.every((part) => run.has(part) || lacking.includes(part))) return true;
  return run.size > 0 && Math.min(...run.values()) >= MOST_RUNNING;
}
