"""Every number that a bring-home test assumes, with its unit in its name.

None has a published source: a company overrides any of them on the page of numbers that searches
assume. `hazard_per_ft_year` and `walk_ft_per_min` are those of the searches: one number for both.
"""

import math
from dataclasses import dataclass, fields

HAZARD_PER_FT_YEAR = 1e-4
WALK_FT_PER_MIN = 250.0
# "Sound: can return today" is said from here on; a company may ask for more, never for less.
LEAST_SOUND_FROM = 0.99

# Of the damaged wires, how many are so; the rest is open.
SHARES = ("loop_short_share", "loop_poor_share", "loop_other_share", "loop_two_coils_share")
NEVER_ZERO = (
    "loop_meter_sd_ohms",
    "loop_trench_broken_odds",
    "loop_trench_sound_odds",
    "loop_poor_spread_ohms",
    "loop_other_spread_ohms",
    "loop_test_min",
    "loop_return_min",
    "walk_ft_per_min",
)
# A chance of 0 or 1 could never be changed by a reading.
BELOW_ONE = (
    "loop_sound_if_wire",
    "loop_sound_if_not_known",
    "loop_sound_if_else",
    "loop_sound_if_mended",
    "loop_sound_if_break",
    "loop_sound_from",
    "loop_apart_right",
    "loop_open_reads_open",
    "loop_symptom_share",
)


class UnusableLoopNumbers(ValueError):
    """The numbers contradict each other or leave their range."""


@dataclass(frozen=True)
class LoopNumbers:
    """What a bring-home test assumes. Chances and shares are 0..1; times are minutes."""

    # How likely the wire is sound before it is read, by why the station is off central.
    loop_sound_if_wire: float = 0.30
    loop_sound_if_not_known: float = 0.50
    loop_sound_if_else: float = 0.90
    loop_sound_if_mended: float = 0.90
    loop_sound_if_break: float = 0.02
    # Each station in its trench multiplies the odds, three of each at most.
    loop_trench_broken_odds: float = 0.6
    loop_trench_sound_odds: float = 1.4
    # What is wrong with wires that are not sound; the rest is open.
    loop_short_share: float = 0.10
    loop_poor_share: float = 0.10
    loop_other_share: float = 0.03
    loop_two_coils_share: float = 0.01
    # Of the damaged ones, those whose loop reads like a sound one.
    loop_hidden_share: float = 0.001
    loop_hidden_share_if_passing: float = 0.5
    # Of the damaged ones, those that are as the fault's symptom says.
    loop_symptom_share: float = 0.7
    # What a meter shows.
    loop_open_reads_open: float = 0.9
    loop_other_reads_open: float = 0.5
    loop_apart_right: float = 0.98
    loop_meter_sd_ohms: float = 0.3
    loop_coil_sd_ohms: float = 1.0
    loop_poor_adds_ohms: float = 15.0
    loop_poor_spread_ohms: float = 8.0
    loop_other_ohms: float = 45.0
    loop_other_spread_ohms: float = 12.0
    # How well the expected ohms are known.
    loop_gauge_sd_share: float = 0.02
    loop_measured_sd_share: float = 0.01
    loop_paced_sd_share: float = 0.05
    loop_scaled_sd_share: float = 0.05
    loop_guessed_sd_share: float = 0.15
    loop_common_sd_share: float = 0.15
    # Where a verdict begins.
    loop_sound_from: float = LEAST_SOUND_FROM
    loop_broken_below: float = 0.05
    # What things take.
    loop_test_min: float = 8.0
    loop_return_min: float = 20.0
    # Those of the searches.
    hazard_per_ft_year: float = HAZARD_PER_FT_YEAR
    walk_ft_per_min: float = WALK_FT_PER_MIN

    def __post_init__(self) -> None:
        for each in fields(self):
            value, most = getattr(self, each.name), most_of_loop(each.name)
            if not 0 <= value < math.inf or value > most:
                raise UnusableLoopNumbers(f"Expected {each.name} from 0 to {most:g}, got {value}")
        for name in NEVER_ZERO:
            if getattr(self, name) == 0:
                raise UnusableLoopNumbers(f"Expected {name} > 0, got 0")
        for name in BELOW_ONE:
            if not 0 < getattr(self, name) < 1:
                raise UnusableLoopNumbers(f"Expected {name} between 0 and 1")
        damaged = sum(getattr(self, name) for name in SHARES)
        if damaged + max(self.loop_hidden_share, self.loop_hidden_share_if_passing) >= 1:
            raise UnusableLoopNumbers("Expected the shares of damaged wires to sum below 1")
        if self.loop_sound_from < LEAST_SOUND_FROM:
            raise UnusableLoopNumbers(f"Expected loop_sound_from >= {LEAST_SOUND_FROM}")
        if self.loop_broken_below > 0.5:
            raise UnusableLoopNumbers("Expected loop_broken_below <= 0.5")

    def length_sd_share(self, source: str) -> float:
        """Return the standard error of a length as a share, by how it is known."""
        shares = {
            "measured": self.loop_measured_sd_share,
            "paced": self.loop_paced_sd_share,
            "scaled": self.loop_scaled_sd_share,
        }
        return shares.get(source, self.loop_guessed_sd_share)


def most_of_loop(name: str) -> float:
    """Return the most that a number may be; a chance or share is at most 1."""
    if name.endswith(("_ohms", "_min")):
        return 500.0
    if name in ("loop_trench_broken_odds", "loop_trench_sound_odds"):
        return 20.0
    return 1e6 if name in ("hazard_per_ft_year", "walk_ft_per_min") else 1.0
