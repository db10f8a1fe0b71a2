"""Every number that the model assumes, each with its unit and where it comes from.

None of these has a published source: a company overrides any of them, and its own finished
searches re-estimate some. `STATUS` says for each what it rests on.
"""

import math
from dataclasses import dataclass, fields

from faults.readings.engines.loop_numbers import HAZARD_PER_FT_YEAR, WALK_FT_PER_MIN

# Tests that have a sensitivity and a specificity.
TESTS = ("box", "listen", "clamp", "volts", "insulation", "bypass", "check", "spare")
# Walks over a place: one that never finds anything says nothing.
WALKS = ("tone_detects", "passing_tone_detects", "gradient_detects")
NEVER_ZERO = (
    "walk_ft_per_min",
    "dislike_per_min",
    "distance_sd_ft",
    "gradient_sd_ft",
    "level_sd_share",
    "hazard_per_ft_year",
    "hazard_prior_faults",
    "default_weighs_tests",
    "default_weighs_minutes",
    "default_weighs_faults",
)

# What a meter at the controller may show of a broken wire, and of a coil, and is learned. That a
# wire reads low follows from its symptom alone: it touches another one, and so two coils are read.
HOW = {"leg": ("open", "short", "high"), "coil": ("open", "low", "short")}

OWN = "our own assumption, no source"


class UnusableAssumptions(ValueError):
    """The numbers contradict each other or leave their range."""


@dataclass(frozen=True)
class Assumptions:
    """What the likelihoods and the plan assume. Probabilities are 0..1; times are minutes."""

    # How often a place fails before anything is known.
    hazard_per_ft_year: float = HAZARD_PER_FT_YEAR
    hazard_prior_faults: float = 1.0
    splice_counts_as_ft: float = 20.0
    # Causes outside the wire, and the share of leg damage that takes the bundle or the common.
    p_output: float = 0.04
    p_common_terminal: float = 0.03
    p_coil: float = 0.10
    p_water: float = 0.03
    p_controller_splice: float = 0.02
    p_valve_splice: float = 0.05
    p_master: float = 0.01
    p_wrong_wire: float = 0.004
    bundle_share: float = 0.30
    common_share: float = 0.10
    # What other stations say.
    neighbour_dead_if_bundle: float = 0.90
    neighbour_otherwise: float = 0.02
    neighbour_by_common: float = 0.98
    # A test of both sides of a cut splice.
    box_sensitivity: float = 0.95
    box_specificity: float = 0.95
    box_swapped: float = 0.02
    # Tone or clamp at a box without cutting.
    listen_sensitivity: float = 0.90
    listen_specificity: float = 0.90
    # A clamp round the wire of a short: the fed current flows past the point, or not.
    clamp_sensitivity: float = 0.93
    clamp_specificity: float = 0.93
    # Volts at a splice while the station is switched on; with the wire to the valve taken off.
    volts_sensitivity: float = 0.93
    volts_specificity: float = 0.95
    unloaded_sensitivity: float = 0.93
    # Megohms to earth of both sides of a cut splice.
    insulation_sensitivity: float = 0.93
    insulation_specificity: float = 0.95
    # Walking the tone.
    tone_detects: float = 0.92
    # Its level as a share of a sound wire's, by the user's own marks.
    level_sd_share: float = 0.15
    level_useless: float = 0.15
    # Distance by instrument.
    distance_sd_ft: float = 5.0
    distance_sd_share: float = 0.06
    distance_useless: float = 0.05
    guessed_sd_share: float = 0.15
    gradient_sd_ft: float = 2.0
    gradient_detects: float = 0.85
    # Others.
    bypass_sensitivity: float = 0.98
    bypass_specificity: float = 0.98
    check_sensitivity: float = 0.97
    check_specificity: float = 0.97
    spare_sensitivity: float = 0.97
    spare_specificity: float = 0.97
    # What a symptom makes of a test (see `symptoms`).
    passing_tone_detects: float = 0.60
    passing_listen_specificity: float = 0.60
    fleeting_sensitivity: float = 0.75
    dry_sensitivity: float = 0.60
    # A high resistance, tested for a way through, and by volts without the coil's current.
    resistive_sensitivity: float = 0.70
    resistive_unloaded: float = 0.10
    two_faults: float = 0.06
    # A short or a leak that was reported is something else.
    symptom_wrong: float = 0.05
    # What a mend leaves: the station still dead though it was the fault, or though nothing was.
    mend_fails: float = 0.05
    mended_for_nothing: float = 0.01
    # Of the places that a walk misses, the share that no walk with this tone would ever show.
    never_shows: float = 0.5
    # How often listening once more at the same place says the same for the same reason.
    same_again: float = 0.7
    # How a splice looks in an open box: wet or corroded if it is bad, and if not.
    worn_if_bad: float = 0.70
    worn_otherwise: float = 0.15
    # Ohms at the controller by what is wrong (the wire's follow the symptom, see `symptoms`).
    ohms_wrong: float = 0.08
    leg_reads_open: float = 0.60
    leg_reads_short: float = 0.25
    leg_reads_high: float = 0.10
    leg_reads_low: float = 0.0
    coil_reads_open: float = 0.40
    coil_reads_low: float = 0.45
    coil_reads_short: float = 0.10
    # What things take.
    walk_ft_per_min: float = WALK_FT_PER_MIN
    open_box_min: float = 11.0
    cut_uncut_min: float = 6.0
    lasting_splice_min: float = 10.0
    repeat_min: float = 3.0
    volts_saves_min: float = 4.0
    tone_setup_min: float = 8.0
    tone_min_per_100_ft: float = 4.0
    distance_min: float = 10.0
    read_ohms_min: float = 4.0
    jumper_min: float = 8.0
    gradient_setup_min: float = 10.0
    gradient_min_per_100_ft: float = 5.0
    terminals_min: float = 5.0
    coil_min: float = 6.0
    # Which wire at the controller carries a tone that is fed at the valve.
    prove_wire_min: float = 4.0
    settle_outside_min: float = 10.0
    # Dig down to a wire within a leg and set a box, its cut and splice not in it.
    open_ground_min: float = 30.0
    renew_setup_min: float = 60.0
    renew_min_per_100_ft: float = 45.0
    # How strongly a long search is disliked: 0 would count minutes only.
    dislike_per_min: float = 0.006
    # How much own evidence weighs as much as a default: tests or searches, minutes, faults.
    default_weighs_tests: float = 40.0
    default_weighs_minutes: float = 120.0
    default_weighs_faults: float = 5.0

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not 0 <= value < math.inf:
                raise UnusableAssumptions(f"Expected {each.name} >= 0, got {value}")
            most = most_of(each.name)
            if value > most:
                raise UnusableAssumptions(f"Expected {each.name} <= {most:g}, got {value:g}")
        self._check_probabilities()
        self._check_tests()

    def _check_probabilities(self) -> None:
        if self.p_outside >= 1:
            raise UnusableAssumptions(
                f"Expected the causes outside the wire to sum below 1, got {self.p_outside}"
            )
        if self.bundle_share + self.common_share > 1:
            raise UnusableAssumptions("Expected bundle_share + common_share <= 1")
        for reads, besides in (("leg", self.leg_reads_low), ("coil", 0.0)):
            if besides + sum(getattr(self, f"{reads}_reads_{how}") for how in HOW[reads]) > 1:
                raise UnusableAssumptions(f"Expected the {reads}_reads_ numbers to sum to <= 1")
        for name in WALKS:
            if getattr(self, name) == 0:
                raise UnusableAssumptions(f"Expected {name} > 0: a walk that finds nothing")

    def _check_tests(self) -> None:
        for test in TESTS:
            both = getattr(self, f"{test}_sensitivity") + getattr(self, f"{test}_specificity")
            if both <= 1:
                raise UnusableAssumptions(
                    f"Expected {test}_sensitivity + {test}_specificity > 1, got {both}: such a "
                    "test says nothing"
                )
        for name in NEVER_ZERO:
            if getattr(self, name) == 0:
                raise UnusableAssumptions(f"Expected {name} > 0, got 0")

    @property
    def p_outside(self) -> float:
        """All causes outside the wire together."""
        at_controller = self.p_output + self.p_common_terminal + self.p_controller_splice
        at_valve = self.p_coil + self.p_water + self.p_valve_splice
        return at_controller + self.p_master + self.p_wrong_wire + at_valve


_CHANCES = (
    *("p_", "neighbour_", "two_", "symptom_", "resistive_", "mend_", "mended_"),
    *("never_", "same_", "worn_", "ohms_", "leg_reads_", "coil_reads_"),
)
_SHARES = ("_share", "_sensitivity", "_specificity", "_swapped", "_useless", "_detects")


def most_of(name: str) -> float:
    """Return the most that a number may be: beyond it costs of long searches overflow.

    A probability is at most 1.
    """
    if name.startswith(_CHANCES) or name.endswith(_SHARES):
        return 1.0
    if name == "dislike_per_min":
        return 0.05
    if name.endswith("_per_100_ft"):
        return 100.0
    if name.endswith("_min") or name == "walk_ft_per_min":
        return 500.0
    return 1e6


STATUS: dict[str, str] = {each.name: OWN for each in fields(Assumptions)}
