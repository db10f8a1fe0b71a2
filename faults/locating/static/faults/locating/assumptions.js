// Every number that the model assumes where a search does not say another.
// Follows faults/locating/engines/assumptions.py, which says what each rests on.
import { UnusableAssumptions } from "./errors.js";

export const DEFAULTS = Object.freeze({
  hazard_per_ft_year: 1e-4,
  hazard_prior_faults: 1,
  splice_counts_as_ft: 20,
  p_output: 0.04,
  p_common_terminal: 0.03,
  p_coil: 0.1,
  p_water: 0.03,
  bundle_share: 0.3,
  common_share: 0.1,
  neighbour_dead_if_bundle: 0.9,
  neighbour_otherwise: 0.02,
  neighbour_by_common: 0.98,
  box_sensitivity: 0.95,
  box_specificity: 0.95,
  box_swapped: 0.02,
  listen_sensitivity: 0.9,
  listen_specificity: 0.9,
  clamp_sensitivity: 0.93,
  clamp_specificity: 0.93,
  insulation_sensitivity: 0.93,
  insulation_specificity: 0.95,
  tone_detects: 0.92,
  level_sd_share: 0.15,
  level_useless: 0.15,
  distance_sd_ft: 5,
  distance_sd_share: 0.06,
  distance_useless: 0.05,
  guessed_sd_share: 0.15,
  gradient_sd_ft: 2,
  gradient_detects: 0.85,
  bypass_sensitivity: 0.98,
  bypass_specificity: 0.98,
  check_sensitivity: 0.97,
  check_specificity: 0.97,
  spare_sensitivity: 0.97,
  spare_specificity: 0.97,
  passing_tone_detects: 0.6,
  passing_listen_specificity: 0.6,
  fleeting_sensitivity: 0.75,
  dry_sensitivity: 0.6,
  two_faults: 0.06,
  walk_ft_per_min: 250,
  open_box_min: 11,
  cut_uncut_min: 6,
  lasting_splice_min: 10,
  repeat_min: 3,
  tone_setup_min: 8,
  tone_min_per_100_ft: 4,
  distance_min: 10,
  jumper_min: 8,
  gradient_setup_min: 10,
  gradient_min_per_100_ft: 5,
  terminals_min: 5,
  coil_min: 6,
  settle_outside_min: 10,
  dislike_per_min: 0.006,
  default_weighs_tests: 40,
  default_weighs_minutes: 120,
  default_weighs_faults: 5,
});

const TESTS = ["box", "listen", "clamp", "insulation", "bypass", "check", "spare"];
const WALKS = ["tone_detects", "passing_tone_detects", "gradient_detects"];
const NEVER_ZERO = [
  "walk_ft_per_min", "dislike_per_min", "distance_sd_ft", "gradient_sd_ft", "level_sd_share",
  "hazard_per_ft_year", "hazard_prior_faults",
  "default_weighs_tests", "default_weighs_minutes", "default_weighs_faults",
];
const IS_PROBABILITY =
  /^(p_|neighbour_|two_)|_(share|sensitivity|specificity|swapped|useless|detects)$/;

/**
 * The numbers of a search, the defaults where it says nothing.
 *
 * @param {Record<string, number>} given
 * @returns {Record<string, number>}
 * @throws {UnusableAssumptions} they contradict each other or leave their range
 */
export function assumedOf(given) {
  const assumed = { ...DEFAULTS, ...given };
  const expect = (isSo, words) => {
    if (!isSo) throw new UnusableAssumptions(`Expected ${words}`);
  };
  for (const name of Object.keys(DEFAULTS)) {
    const value = assumed[name];
    expect(Number.isFinite(value) && value >= 0, `${name} >= 0, got ${value}`);
    expect(!IS_PROBABILITY.test(name) || value <= 1, `${name} <= 1, got ${value}`);
  }
  expect(pOutside(assumed) < 1, "the causes outside the wire to sum below 1");
  expect(assumed.bundle_share + assumed.common_share <= 1, "bundle_share + common_share <= 1");
  for (const test of TESTS) {
    const both = assumed[`${test}_sensitivity`] + assumed[`${test}_specificity`];
    expect(both > 1, `${test}_sensitivity + ${test}_specificity > 1, got ${both}`);
  }
  for (const name of [...WALKS, ...NEVER_ZERO]) expect(assumed[name] > 0, `${name} > 0, got 0`);
  return assumed;
}

/** All causes outside the wire together. @param {Record<string, number>} assumed */
export function pOutside(assumed) {
  return assumed.p_output + assumed.p_common_terminal + assumed.p_coil + assumed.p_water;
}
