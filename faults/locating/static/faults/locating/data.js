// Generated from Python by `uv run python -m tests.architecture.guide`: change it there.
// A test compares the two. What each number rests on stands beside it in faults/locating/.

export const ENGINE_VERSION = "10";
export const NUMBERS = {
  hazard_per_ft_year: [0.0001, 1000000],
  hazard_prior_faults: [1, 1000000],
  splice_counts_as_ft: [20, 1000000],
  p_output: [0.04, 1],
  p_common_terminal: [0.03, 1],
  p_coil: [0.1, 1],
  p_water: [0.03, 1],
  p_controller_splice: [0.02, 1],
  p_valve_splice: [0.05, 1],
  p_master: [0.01, 1],
  p_wrong_wire: [0.004, 1],
  bundle_share: [0.3, 1],
  common_share: [0.1, 1],
  neighbour_dead_if_bundle: [0.9, 1],
  neighbour_otherwise: [0.02, 1],
  neighbour_by_common: [0.98, 1],
  box_sensitivity: [0.95, 1],
  box_specificity: [0.95, 1],
  box_swapped: [0.02, 1],
  listen_sensitivity: [0.9, 1],
  listen_specificity: [0.9, 1],
  clamp_sensitivity: [0.93, 1],
  clamp_specificity: [0.93, 1],
  volts_sensitivity: [0.93, 1],
  volts_specificity: [0.95, 1],
  unloaded_sensitivity: [0.93, 1],
  insulation_sensitivity: [0.93, 1],
  insulation_specificity: [0.95, 1],
  tone_detects: [0.92, 1],
  level_sd_share: [0.15, 1],
  level_useless: [0.15, 1],
  distance_sd_ft: [5, 1000000],
  distance_sd_share: [0.06, 1],
  distance_useless: [0.05, 1],
  guessed_sd_share: [0.15, 1],
  gradient_sd_ft: [2, 1000000],
  gradient_detects: [0.85, 1],
  bypass_sensitivity: [0.98, 1],
  bypass_specificity: [0.98, 1],
  check_sensitivity: [0.97, 1],
  check_specificity: [0.97, 1],
  spare_sensitivity: [0.97, 1],
  spare_specificity: [0.97, 1],
  passing_tone_detects: [0.6, 1],
  passing_listen_specificity: [0.6, 1],
  fleeting_sensitivity: [0.75, 1],
  dry_sensitivity: [0.6, 1],
  resistive_sensitivity: [0.7, 1],
  resistive_unloaded: [0.1, 1],
  two_faults: [0.06, 1],
  symptom_wrong: [0.05, 1],
  mend_fails: [0.05, 1],
  mended_for_nothing: [0.01, 1],
  never_shows: [0.5, 1],
  same_again: [0.7, 1],
  worn_if_bad: [0.7, 1],
  worn_otherwise: [0.15, 1],
  ohms_wrong: [0.08, 1],
  leg_reads_open: [0.6, 1],
  leg_reads_short: [0.25, 1],
  leg_reads_high: [0.1, 1],
  leg_reads_low: [0, 1],
  coil_reads_open: [0.4, 1],
  coil_reads_low: [0.45, 1],
  coil_reads_short: [0.1, 1],
  walk_ft_per_min: [250, 500],
  open_box_min: [11, 500],
  cut_uncut_min: [6, 500],
  lasting_splice_min: [10, 500],
  repeat_min: [3, 500],
  volts_saves_min: [4, 500],
  tone_setup_min: [8, 500],
  tone_min_per_100_ft: [4, 100],
  distance_min: [10, 500],
  read_ohms_min: [4, 500],
  jumper_min: [8, 500],
  gradient_setup_min: [10, 500],
  gradient_min_per_100_ft: [5, 100],
  terminals_min: [5, 500],
  coil_min: [6, 500],
  prove_wire_min: [4, 500],
  settle_outside_min: [10, 500],
  open_ground_min: [30, 500],
  renew_setup_min: [60, 500],
  renew_min_per_100_ft: [45, 100],
  dislike_per_min: [0.006, 0.05],
  default_weighs_tests: [40, 1000000],
  default_weighs_minutes: [120, 1000000],
  default_weighs_faults: [5, 1000000],
};
export const SYMPTOM = {
  OPEN: "open",
  SHORT: "short",
  LEAK: "leak",
  LOW_VOLTAGE: "low voltage",
  COMES_AND_GOES: "comes and goes",
  STAYS_ON: "stays on",
  RUNS_WITH: "runs with another",
  SEVERAL_WEAK: "several weak",
  NOT_KNOWN: "not known",
};
export const PASSES_TONE = ["short", "leak", "low voltage", "stays on", "runs with another", "several weak"];
export const FINDS_BY_CLAMP = ["short"];
export const FINDS_BY_EARTH = ["leak", "comes and goes"];
export const FINDS_BY_JUMPER = ["open", "low voltage", "comes and goes", "several weak", "not known"];
export const FINDS_BY_VOLTS = ["low voltage", "several weak"];
export const GOES_ASTRAY = ["short", "leak"];
export const RESISTIVE = ["low voltage", "several weak"];
export const OTHERS_TELL_NOTHING = ["stays on", "runs with another"];
export const READS = {
  open: [0.95, 0, 0.02, 0],
  short: [0, 0.95, 0, 0],
  leak: [0.05, 0.05, 0.05, 0],
  "low voltage": [0.05, 0.05, 0.85, 0],
  "comes and goes": [0.3, 0.05, 0.15, 0],
  "stays on": [0.02, 0.05, 0.03, 0.5],
  "runs with another": [0.02, 0.05, 0.03, 0.75],
  "several weak": [0.05, 0.05, 0.85, 0],
};
export const WEIGHS = {
  "stays on": { hot: 0.05, common: 0.05, bundle: 0.35, p_output: 3, p_common_terminal: 0.05, p_coil: 0.8, p_water: 20, p_controller_splice: 1, p_valve_splice: 0.6, p_master: 0.05, p_wrong_wire: 1 },
  "runs with another": { hot: 0.05, common: 0.3, bundle: 2, p_output: 2, p_common_terminal: 0.3, p_coil: 0.1, p_water: 0.3, p_controller_splice: 6, p_valve_splice: 1.5, p_master: 0.05, p_wrong_wire: 6 },
  "several weak": { hot: 0.05, common: 6, bundle: 0.5, p_output: 0.5, p_common_terminal: 8, p_coil: 0.1, p_water: 0.5, p_controller_splice: 0.3, p_valve_splice: 0.1, p_master: 3, p_wrong_wire: 0.1 },
};
export const HOW = {
  leg: ["open", "short", "high"],
  coil: ["open", "low", "short"],
};
export const OUTSIDE = {
  OUTPUT: "controller output",
  COMMON_TERMINAL: "common at the controller",
  COIL: "coil or its lead",
  WATER: "valve or water",
  CONTROLLER_SPLICE: "splice at the controller",
  VALVE_SPLICE: "splice in the valve box",
  MASTER: "master valve or pump",
  WRONG_WIRE: "another wire on the terminal",
};
export const BEHIND = ["controller output", "common at the controller", "splice at the controller", "master valve or pump"];
export const IN_VALVE_BOX = ["coil or its lead", "valve or water", "splice in the valve box"];
export const END_SPLICES = ["splice at the controller", "splice in the valve box"];
export const SPARED = ["splice at the controller", "splice in the valve box", "another wire on the terminal"];
export const SPOILS_CONTROLLER_SIDE = ["controller output", "common at the controller", "splice at the controller"];
export const SPOILS_VALVE_SIDE = ["coil or its lead", "splice in the valve box"];
export const NUMBER_OF = {
  "controller output": "p_output",
  "common at the controller": "p_common_terminal",
  "coil or its lead": "p_coil",
  "valve or water": "p_water",
  "splice at the controller": "p_controller_splice",
  "splice in the valve box": "p_valve_splice",
  "master valve or pump": "p_master",
  "another wire on the terminal": "p_wrong_wire",
};
export const JOINT = {
  SPLICED: "spliced",
  UNCUT: "passes uncut",
  NOT_KNOWN: "not known",
};
export const SPLICE_SHARE = {
  spliced: 1,
  "passes uncut": 0,
  "not known": 0.5,
};
export const WORDS = {
  conductor: ["hot", "common", "bundle"],
  check: ["output", "common", "coil", "water", "controller splice", "valve splice", "master", "wire"],
  joint: ["spliced", "passes uncut", "not known"],
  wear: ["sound", "wet", "corroded"],
  ohms: ["open", "dead short", "coil low", "as expected", "high"],
  third: ["low", "middle", "top"],
};
export const CHECKS = {
  output: "controller output",
  common: "common at the controller",
  coil: "coil or its lead",
  water: "valve or water",
  "controller splice": "splice at the controller",
  "valve splice": "splice in the valve box",
  master: "master valve or pump",
  wire: "another wire on the terminal",
};
export const AT_CONTROLLER = ["output", "common", "controller splice", "master"];
export const AT_VALVE = ["coil", "water", "valve splice"];
export const READINGS = [
  { tag: "box", layout: { point: ["box"], controller_bad: ["flag", null], valve_bad: ["flag", null], runs: ["flag", null] } },
  { tag: "listened", layout: { point: ["box"], heard: ["flag"] } },
  { tag: "tone walked", layout: { point: ["point"], to_point: ["point"], conductor: ["conductor", "hot"] } },
  { tag: "tone level", needs: "third", layout: { third: ["third"], from_valve: ["flag", false] } },
  { tag: "tone level", layout: { level: ["number"], at_transmitter: ["number"], on_sound_wire: ["number"], from_valve: ["flag", false] } },
  { tag: "distance", layout: { feet: ["number"], from_valve: ["flag", false], sd_ft: ["number", null], sd_share: ["number", null], is_farthest: ["flag", false] } },
  { tag: "bypass", layout: { leg: ["leg"], works: ["flag"], conductor: ["conductor", "hot"], stays: ["flag", false] } },
  { tag: "check", layout: { check: ["check"], is_right: ["flag"], by_ohms: ["flag", false] } },
  { tag: "gradient", layout: { feet: ["number"] } },
  { tag: "gradient walked", layout: { point: ["point"], to_point: ["point"] } },
  { tag: "clamp", layout: { point: ["point"], flows: ["flag"] } },
  { tag: "volts", layout: { point: ["box"], controller_bad: ["flag", null], valve_bad: ["flag", null], unloaded_bad: ["flag", null] } },
  { tag: "insulation", layout: { point: ["box"], controller_bad: ["flag", null], valve_bad: ["flag", null], runs: ["flag", null] } },
  { tag: "spare", layout: { works: ["flag"] } },
  { tag: "looked", layout: { point: ["box"], joint: ["joint", "not known"], wear: ["wear", null] } },
  { tag: "ohms", layout: { ohms: ["ohms"], joined: ["flag", false] } },
  { tag: "mended", layout: { leg: ["leg", null], point: ["box", null], check: ["check", null] } },
];
export const STAND = {
  at: ["point"],
  open_box: ["point", null],
  tone_from: ["point", null],
  tone_on: ["conductor", "hot"],
};
export const TOOLS = {
  tone: true,
  distance_at_controller: false,
  distance_at_valve: false,
  spare_min: null,
  may_cut: true,
  clamp: false,
  insulation: false,
  gradient: false,
  jumper: false,
  renew: false,
  open_ground: false,
  volts: false,
  ohms: false,
};
export const CELL_FT = 1;
export const JUST_BELOW = 0.999999999;
export const LEAST_TOLD = 0.01;
export const LEAST_SD_FT = 0.5;
export const LOGISTIC = 1.8137993642342178;
export const FLAT_LEVEL = 0.5;
export const MOST_REPEATED = 0.999;
export const LEAST_SETTLE_MIN = 0.5;
export const LEAST_SIDE = 0.07999999992000001;
export const ANY_WALK = 1e-09;
export const ALIKE = 1.07;
export const LEAST_HEARD = 0.07999999992000001;
export const MOST_HEARD = 12;
export const LEAST_WALK = 0.02999999997;
export const LEAST_COMMON = 0.09999999990000001;
export const LEAST_WALKS = 12;
export const MOST_WALKS = 48;
export const WALKS_TIMES_GAPS = 960;
export const DISTANCE_RESULTS = 7;
export const LEAST_GRADIENT = 0.07999999992000001;
export const MOST_GRADIENTS = 12;
export const LEAST_NEWS = 0.07999999992000001;
export const LEAST_RENEWED = 0.34999999965;
export const MOST_JUMPERS = 4;
export const LEAST_OPENED = 0.34999999965;
export const LEAST_DETECTS = 0.05;
export const MOST_RUNNING = 2;
export const MOST_LEGS = 24;
export const PARTS = 1000000000;
export const HEIGHTS = [0.01, 0.2, 0.4, 0.6, 0.8];
export const LEFT_OF_IT = 0.1;
export const BANDS = [0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 0.9];
export const TESTS = ["box", "listen", "clamp", "volts", "insulation", "bypass", "check", "spare"];
export const WALKS = ["tone_detects", "passing_tone_detects", "gradient_detects"];
export const NEVER_ZERO = ["walk_ft_per_min", "dislike_per_min", "distance_sd_ft", "gradient_sd_ft", "level_sd_share", "hazard_per_ft_year", "hazard_prior_faults", "default_weighs_tests", "default_weighs_minutes", "default_weighs_faults"];
export const LEAST_SHOWN = 0.02;
export const ROUNDED_MIN = 5;
