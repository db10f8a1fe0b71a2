// Opening the ground within a leg: where no tone shows the place, a hole at a half parts the rest.
// Follows faults/locating/engines/openings.py.
import { byLeg, cellsOf } from "./belief.js";
import { JOINT, JUST_BELOW, LEAST_OPENED } from "./data.js";
import { Ground } from "./ground.js";
import { lineOf } from "./line.js";
import { pairErrors } from "./terrain.js";

/** The holes of a plan, one on each leg that is likely enough. */
export function openings(ground) {
  const { belief, line, assumed, tools, total } = ground;
  if (!(tools.open_ground && tools.may_cut)) return [];
  const hole = holeOf(assumed);
  return byLeg(belief).flatMap((share, leg) => {
    if (share / total < LEAST_OPENED) return [];
    const feet = halfOf(belief, leg);
    const spared = Math.min(feet, line.legs[leg].length_ft - feet);
    // On a short leg the new wire that a hole spares takes less than the hole.
    const isWorth = (spared / 100) * assumed.renew_min_per_100_ft > hole.minutes;
    return isWorth ? [opened(ground, leg, feet, hole)] : [];
  });
}

/** Minutes of a hole and the tests in it, and the chance that they name the wrong side. */
function holeOf(assumed) {
  const { alike, wrong } = pairErrors(
    assumed.box_sensitivity, assumed.box_specificity, assumed.box_swapped,
  );
  const minutes = assumed.open_ground_min + assumed.cut_uncut_min + assumed.lasting_splice_min;
  return { minutes: minutes + (assumed.repeat_min * alike) / (1 - alike), wrong };
}

function opened({ belief, stand, tools, assumed, k }, leg, feet, { minutes, wrong }) {
  const parted = partedAt(belief, leg, feet, assumed.open_box_min);
  const ground = new Ground(parted, standOn(stand, leg), tools, assumed);
  const { t, prices, total } = ground;
  const at = leg + 2;
  const there = ground.wayTo(at);
  const price = prices.split(0, at, t.gaps, minutes, wrong) * t.walk[there];
  return {
    action: { action: "open ground", leg, feet },
    minutes: Math.log(price / total) / k,
    own_min: minutes + t.walkMin[there],
    before: ground.before[at],
    beyond: ground.beyond[at],
    finds: 0,
  };
}

/** Where on a leg half of its likelihood lies on either side, in feet along it. */
function halfOf({ line, legs }, leg) {
  const cells = cellsOf(legs).subarray(line.firstCell[leg], line.firstCell[leg + 1]);
  let sum = 0;
  const mass = cells.map((each) => {
    sum += each;
    return sum;
  });
  const before = mass.findIndex((each) => each >= (sum / 2) * JUST_BELOW) + 1;
  return before * (line.legs[leg].length_ft / cells.length);
}

/** The same belief on the line with a box on a leg: what is believed of no foot moves. */
function partedAt(belief, leg, feet, openMin) {
  const { line, splice, walked, listened } = belief;
  const whole = line.legs[leg];
  const parts = [{ ...whole, length_ft: feet }, { ...whole, length_ft: whole.length_ft - feet }];
  const box = { name: whole.name, joint: JOINT.SPLICED, open_min: openMin };
  const parted = lineOf({
    legs: [...line.legs.slice(0, leg), ...parts, ...line.legs.slice(leg + 1)],
    boxes: [...line.boxes.slice(0, leg), box, ...line.boxes.slice(leg)],
  });
  return {
    ...belief,
    line: parted,
    legs: belief.legs.map((masses) => fitting(masses, line, parted, leg)),
    splice: Float64Array.of(...splice.subarray(0, leg + 1), 0, ...splice.subarray(leg + 1)),
    walked: walked.map((walk) => ({
      ...walk, low: moved(walk.low, leg), high: moved(walk.high, leg),
    })),
    listened: listened.map((each) => ({ ...each, point: moved(each.point, leg) })),
  };
}

/** The masses of one conductor's cells on the parted line. */
function fitting(masses, line, parted, leg) {
  const here = line.firstCell[leg];
  const count = line.firstCell[leg + 1] - here;
  const before = Math.round((parted.legs[leg].length_ft / line.legs[leg].length_ft) * count);
  const [first, second, ends] = [0, 1, 2].map((i) => parted.firstCell[leg + i]);
  const found = new Float64Array(parted.cellLeg.length);
  found.set(masses.subarray(0, here));
  found.set(masses.subarray(here + count), ends);
  for (let i = 0; i < count; i += 1) {
    // As many cells as before, but for rounding of a length.
    const to = i < before
      ? Math.min(first + i, second - 1)
      : Math.min(second + i - before, ends - 1);
    found[to] += masses[here + i];
  }
  return found;
}

/** The number of a point once a leg has a box of its own. */
const moved = (point, leg) => (point > leg ? point + 1 : point);

function standOn(stand, leg) {
  const of = (point) => (point === null ? null : moved(point, leg));
  const { at, openBox, toneFrom } = stand;
  return { ...stand, at: moved(at, leg), openBox: of(openBox), toneFrom: of(toneFrom) };
}
