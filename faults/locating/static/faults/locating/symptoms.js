// What the symptom, and dry soil, make of the tests: adapted numbers and tools.
// Follows faults/locating/engines/symptoms.py.
import { pOutside } from "./assumptions.js";
import {
  FINDS_BY_CLAMP, FINDS_BY_EARTH, FINDS_BY_JUMPER, FINDS_BY_VOLTS, GOES_ASTRAY, LEAST_TOLD,
  PASSES_TONE, READS, SYMPTOM,
} from "./data.js";

/**
 * The assumptions as the symptom and the soil leave them; never better than given.
 *
 * @param {Record<string, number>} given
 * @param {string} symptom
 * @param {boolean} soilIsDry
 * @returns {Record<string, number>}
 */
export function forSymptom(given, symptom, soilIsDry) {
  const assumed = { ...given };
  if (symptom in READS) {
    const [opens, shorts, highs] = READS[symptom];
    Object.assign(assumed, {
      leg_reads_open: opens, leg_reads_short: shorts, leg_reads_high: highs,
    });
  }
  if (GOES_ASTRAY.includes(symptom)) astray(assumed, symptom === SYMPTOM.SHORT);
  if (PASSES_TONE.includes(symptom)) {
    assumed.tone_detects = Math.min(assumed.tone_detects, assumed.passing_tone_detects);
    lower(assumed, "listen_specificity", "listen_sensitivity", assumed.passing_listen_specificity);
  }
  if (symptom === SYMPTOM.COMES_AND_GOES) lessSensitive(assumed, assumed.fleeting_sensitivity);
  if (symptom === SYMPTOM.LOW_VOLTAGE) {
    lower(assumed, "box_sensitivity", "box_specificity", assumed.resistive_sensitivity);
    lower(assumed, "unloaded_sensitivity", "volts_specificity", assumed.resistive_unloaded);
  }
  if (soilIsDry && FINDS_BY_EARTH.includes(symptom)) {
    lessSensitive(assumed, assumed.dry_sensitivity);
  }
  return assumed;
}

/**
 * The tools without those that tell nothing of such a symptom.
 *
 * @param {object} tools
 * @param {string} symptom
 * @returns {object}
 */
export function toolsFor(tools, symptom) {
  return {
    ...tools,
    clamp: tools.clamp && FINDS_BY_CLAMP.includes(symptom),
    insulation: tools.insulation && FINDS_BY_EARTH.includes(symptom),
    gradient: tools.gradient && FINDS_BY_EARTH.includes(symptom),
    jumper: tools.jumper && FINDS_BY_JUMPER.includes(symptom),
    volts: tools.volts && FINDS_BY_VOLTS.includes(symptom),
  };
}

/** What cannot make such a trouble is to blame only where the symptom was misread. */
function astray(assumed, withCommon) {
  const wrong = assumed.symptom_wrong;
  const least = withCommon ? wrong : 1;
  const left = 1 - assumed.common_share * (1 - least);
  const inWire = (1 - pOutside(assumed)) * left;
  const kept = assumed.p_coil + assumed.p_controller_splice + assumed.p_valve_splice;
  const total = inWire + kept + wrong * (pOutside(assumed) - kept);
  if (inWire <= LEAST_TOLD * total) return;
  assumed.common_share = (assumed.common_share * least) / left;
  assumed.bundle_share = Math.min(assumed.bundle_share / left, 1 - assumed.common_share);
  for (const name of ["p_output", "p_common_terminal", "p_water", "p_master"]) {
    assumed[name] = (assumed[name] * wrong) / total;
  }
  for (const name of ["p_coil", "p_controller_splice", "p_valve_splice"]) assumed[name] /= total;
}

function lessSensitive(assumed, most) {
  lower(assumed, "box_sensitivity", "box_specificity", most);
  lower(assumed, "insulation_sensitivity", "insulation_specificity", most);
}

/** Lower a rate, but never so far that the test tells nothing. */
function lower(assumed, name, other, most) {
  assumed[name] = Math.min(assumed[name], Math.max(most, 1 - assumed[other] + LEAST_TOLD));
}
