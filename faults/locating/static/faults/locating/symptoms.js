// What the symptom, and dry soil, make of causes and tests: adapted numbers and tools.
// Follows faults/locating/engines/symptoms.py.
import { pOutside } from "./assumptions.js";
import {
  FINDS_BY_CLAMP, FINDS_BY_EARTH, FINDS_BY_JUMPER, FINDS_BY_VOLTS, GOES_ASTRAY, LEAST_TOLD,
  NUMBER_OF, PASSES_TONE, READS, RESISTIVE, SYMPTOM, WEIGHS,
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
    const [opens, shorts, highs, lows] = READS[symptom];
    Object.assign(assumed, {
      leg_reads_open: opens, leg_reads_short: shorts, leg_reads_high: highs, leg_reads_low: lows,
    });
  }
  if (GOES_ASTRAY.includes(symptom)) astray(assumed, symptom === SYMPTOM.SHORT);
  if (symptom in WEIGHS) weigh(assumed, WEIGHS[symptom]);
  if (PASSES_TONE.includes(symptom)) {
    assumed.tone_detects = Math.min(assumed.tone_detects, assumed.passing_tone_detects);
    lower(assumed, "listen_specificity", "listen_sensitivity", assumed.passing_listen_specificity);
  }
  if (symptom === SYMPTOM.COMES_AND_GOES) lessSensitive(assumed, assumed.fleeting_sensitivity);
  if (RESISTIVE.includes(symptom)) {
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
  for (const name of ["p_output", "p_common_terminal", "p_water", "p_master", "p_wrong_wire"]) {
    assumed[name] = (assumed[name] * wrong) / total;
  }
  for (const name of ["p_coil", "p_controller_splice", "p_valve_splice"]) assumed[name] /= total;
}

/** Weigh each kind of cause by how often it shows like this; all of them still sum to 1. */
function weigh(assumed, weighs) {
  const hot = 1 - assumed.bundle_share - assumed.common_share;
  const common = assumed.common_share * weighs.common;
  const bundle = assumed.bundle_share * weighs.bundle;
  const left = hot * weighs.hot + common + bundle;
  const outside = Object.values(NUMBER_OF).map((name) => [name, assumed[name] * weighs[name]]);
  const inWire = (1 - pOutside(assumed)) * left;
  const total = inWire + outside.reduce((sum, [, chance]) => sum + chance, 0);
  if (inWire <= LEAST_TOLD * total) return;
  assumed.common_share = Math.min(common / left, 1);
  assumed.bundle_share = Math.min(bundle / left, 1 - assumed.common_share);
  for (const [name, chance] of outside) assumed[name] = chance / total;
}

function lessSensitive(assumed, most) {
  lower(assumed, "box_sensitivity", "box_specificity", most);
  lower(assumed, "insulation_sensitivity", "insulation_specificity", most);
}

/** Lower a rate, but never so far that the test tells nothing. */
function lower(assumed, name, other, most) {
  assumed[name] = Math.min(assumed[name], Math.max(most, 1 - assumed[other] + LEAST_TOLD));
}
