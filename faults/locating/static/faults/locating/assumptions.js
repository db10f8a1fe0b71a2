// Every number that the model assumes where a search does not say another.
// Follows faults/locating/engines/assumptions.py, which says what each rests on.
import { HOW, NEVER_ZERO, NUMBERS, TESTS, WALKS } from "./data.js";
import { UnusableAssumptions } from "./errors.js";

export const DEFAULTS = Object.freeze(
  Object.fromEntries(Object.entries(NUMBERS).map(([name, [value]]) => [name, value])),
);

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
  for (const [name, [, most]] of Object.entries(NUMBERS)) {
    const value = assumed[name];
    expect(Number.isFinite(value) && value >= 0, `${name} >= 0, got ${value}`);
    expect(value <= most, `${name} <= ${most}, got ${value}`);
  }
  expect(pOutside(assumed) < 1, "the causes outside the wire to sum below 1");
  expect(assumed.bundle_share + assumed.common_share <= 1, "bundle_share + common_share <= 1");
  for (const test of TESTS) {
    const both = assumed[`${test}_sensitivity`] + assumed[`${test}_specificity`];
    expect(both > 1, `${test}_sensitivity + ${test}_specificity > 1, got ${both}`);
  }
  for (const [of, how] of Object.entries(HOW)) {
    const besides = of === "leg" ? assumed.leg_reads_low : 0;
    const sum = how.reduce((all, each) => all + assumed[`${of}_reads_${each}`], besides);
    expect(sum <= 1, `the ${of}_reads_ numbers to sum to <= 1`);
  }
  for (const name of [...WALKS, ...NEVER_ZERO]) expect(assumed[name] > 0, `${name} > 0, got 0`);
  return assumed;
}

/** All causes outside the wire together. @param {Record<string, number>} assumed */
export function pOutside(assumed) {
  const atController = assumed.p_output + assumed.p_common_terminal + assumed.p_controller_splice;
  const atValve = assumed.p_coil + assumed.p_water + assumed.p_valve_splice;
  return atController + assumed.p_master + assumed.p_wrong_wire + atValve;
}
