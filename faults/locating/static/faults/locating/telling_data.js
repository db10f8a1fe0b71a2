// Generated from Python by `uv run python -m tests.architecture.guide`: change it there.
// A test compares the two. What each number rests on stands beside it in faults/locating/.

export const CASE = {
  STAYS_ON: "water that cannot be stopped",
  CONTRADICTION: "no explanation is left",
  TENSION: "readings in tension",
  STILL_DEAD: "mended and still dead",
  NO_SECOND_FITS: "mended, and no second fault fits",
  OTHERS_DEAD: "common or transformer, not this wire",
  RUNS_WITH: "fed by another station",
  SEVERAL_WEAK: "several stations weak together",
  AT_CONTROLLER: "look at the controller first",
  AT_VALVE: "look at the valve first",
  OTHER_WIRE: "another wire on the terminal",
  BOTH_BAD: "both sides bad",
  BOTH_GOOD: "both sides good",
  DISTANCE_OUT_OF_RANGE: "distance beyond the wire",
  DISTANCES_DISAGREE: "distances from both ends do not add up",
  LENGTHS_GUESSED: "distance over guessed lengths",
  DRY_LEVEL: "level of the tone in dry soil",
  SHORT_PATH: "thirds overlap on a short wire",
  WALKED_IN_VAIN: "walked more than once for nothing",
  SHORT_PASSES_TONE: "a short lets the tone pass",
  NICK_READS_GOOD: "a nick may read good",
  JUMPER_WORKS: "as good as found by a jumper",
  PAST_BUDGET: "search past its budget",
};
export const BY_ITSELF = {
  "stays on": "water that cannot be stopped",
  "runs with another": "fed by another station",
  "several weak": "several stations weak together",
};
export const LEAST_CHANCE = 0.05;
export const LEADS = 0.3;
export const AS_GOOD_AS_FOUND = 0.9;
export const THIRDS_NEED_FT = 200;
export const OVER_LENGTH = 0.1;
export const MOST_ERRORS = 3;
export const LEAST_SECOND = 0.5;
export const MOST_WALKED_OVER = 2;
export const SHARES_ALIKE = 1e-09;
export const HALF = 0.35;
export const WORTH_SAYING = 0.1;
export const MOST_WALKED = 2;
export const SURPRISE = 0.05;
export const NO_CHANCE = ["distance", "gradient", "tone level", "mended"];
export const NUMBER_RESULTS = 161;
export const WALKED = {
  "tone walked": ["tone_setup_min", "tone_min_per_100_ft"],
  "gradient walked": ["gradient_setup_min", "gradient_min_per_100_ft"],
};
export const AT_ITS_POINT = ["box", "listened", "tone walked", "gradient walked", "clamp", "volts", "insulation", "looked"];
