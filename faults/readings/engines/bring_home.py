"""Is the wire of a station on a timer sound? Two wires joined at the valve, read at the clock.

What could be true has a prior and says what the meter would show; Bayes' rule does the rest. OL is
not a number: each truth has a likelihood of its own for it. Apart, the two ends of a sound wire
read open, and of a short they do not: without that look a short near the valve reads like a sound
wire.

Sources: the delta method for the expected ohms (textbook); copper by `sites.wires.engines.copper`;
all chances are our own assumptions (`loop_numbers`).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import exp, hypot, inf
from typing import TYPE_CHECKING

from faults.readings.engines.loop_beliefs import (
    Between,
    Hypothesis,
    Near,
    Truth,
    posterior,
    posteriors,
)
from faults.readings.engines.loop_numbers import LoopNumbers
from sites.kernel.lazily import np
from sites.wires.engines.copper import PER_K_AT_20_C, copper_factor
from sites.wires.engines.warmth import Warmth

if TYPE_CHECKING:
    from faults.readings.engines.loop_beliefs import Floats

# So many others of a trench count at most: they are not independent of each other.
MOST_OTHERS = 3
DAYS_PER_YEAR = 365.25
# A broken wire that does not read open reads anything up to here, through wet soil.
THROUGH_SOIL_FROM_OHMS, THROUGH_SOIL_TO_OHMS = 20.0, 10_000.0


class Verdict(StrEnum):
    """What a bring-home test says."""

    SOUND = "sound"
    BROKEN = "broken"
    DOUBTFUL = "doubtful"


class Why(StrEnum):
    """Why the station is off central, as far as it bears on the wire."""

    WIRE = "wire"
    NOT_KNOWN = "not known"
    ELSE = "something else"
    MENDED = "mended, or not the wire"
    BREAK = "a break that nobody mended"


# What a symptom makes likely; a leak, or a fault that comes and goes, reads like a sound wire. One
# that touches another station's wire reads that one's coil beside its own.
OF_SYMPTOM = {
    "open": Truth.OPEN,
    "short": Truth.SHORT,
    "low voltage": Truth.POOR,
    "leak to earth": Truth.HIDDEN,
    "comes and goes": Truth.HIDDEN,
    "stays on": Truth.TWO_COILS,
    "runs with another": Truth.TWO_COILS,
    "several weak": Truth.POOR,
}


@dataclass(frozen=True, slots=True)
class Loop:
    """The hot wire and its common in ohms as they lie there now, and each part of the error.

    `length_ft` is one way.
    """

    ohms: float
    length_ft: float
    of_length: float
    of_warmth: float
    of_size: float

    @property
    def sd(self) -> float:
        """The standard error in ohms."""
        return hypot(self.of_length, self.of_warmth, self.of_size)


def expected_loop(
    *,
    ohms_at_20_c: float,
    length_ft: float,
    length_sd_ft: float,
    warmth: Warmth,
    size_sd_share: float,
) -> Loop:
    """Return what a sound pair reads, its error by the delta method.

    Raises:
        ValueError: ohms or length are not above 0.
    """
    if not (ohms_at_20_c > 0 and length_ft > 0):
        raise ValueError(f"Expected ohms and length > 0, got {ohms_at_20_c} and {length_ft}")
    ohms = ohms_at_20_c * copper_factor(warmth.wire_c)
    return Loop(
        ohms,
        length_ft,
        of_length=ohms * length_sd_ft / length_ft,
        of_warmth=ohms_at_20_c * PER_K_AT_20_C * warmth.error_c,
        of_size=ohms * size_sd_share,
    )


@dataclass(frozen=True, slots=True)
class Story:
    """What is known of a wire before it is read.

    `others_broken`, `others_sound`: stations whose wires lie in its trench. `days` = how long
    nobody used the wire; `length_ft` = its length, None where it is not known.
    """

    why: Why
    symptom: str = ""
    others_broken: int = 0
    others_sound: int = 0
    days: int = 0
    length_ft: float | None = None

    def chance(self, numbers: LoopNumbers) -> float:
        """Return how likely the wire is sound."""
        first = {
            Why.WIRE: numbers.loop_sound_if_wire,
            Why.NOT_KNOWN: numbers.loop_sound_if_not_known,
            Why.ELSE: numbers.loop_sound_if_else,
            Why.MENDED: numbers.loop_sound_if_mended,
            Why.BREAK: numbers.loop_sound_if_break,
        }[self.why]
        odds = first / (1 - first)
        odds *= numbers.loop_trench_broken_odds ** min(self.others_broken, MOST_OTHERS)
        odds *= numbers.loop_trench_sound_odds ** min(self.others_sound, MOST_OTHERS)
        return odds / (1 + odds) * still_sound(self.length_ft, self.days, numbers)


def still_sound(length_ft: float | None, days: int, numbers: LoopNumbers) -> float:
    """Return how likely a sound wire is sound so many days later; 1 where no length is known."""
    if length_ft is None:
        return 1.0
    return exp(-numbers.hazard_per_ft_year * length_ft * max(days, 0) / DAYS_PER_YEAR)


def shares_of_damage(symptom: str, numbers: LoopNumbers) -> dict[Truth, float]:
    """Return what a damaged wire is, summing to 1: the symptom's own kind first."""
    shares = {
        Truth.SHORT: numbers.loop_short_share,
        Truth.POOR: numbers.loop_poor_share,
        Truth.OTHER: numbers.loop_other_share,
        Truth.TWO_COILS: numbers.loop_two_coils_share,
        Truth.HIDDEN: numbers.loop_hidden_share,
    }
    shares[Truth.OPEN] = 1 - sum(shares.values())
    told = OF_SYMPTOM.get(symptom)
    if told is None:
        return shares
    own = (
        numbers.loop_hidden_share_if_passing if told is Truth.HIDDEN else numbers.loop_symptom_share
    )
    rest = 1 - shares[told]
    return {
        truth: own if truth is told else share / rest * (1 - own) for truth, share in shares.items()
    }


def hypotheses(
    loop: Loop, story: Story, numbers: LoopNumbers, *, across_ohms: float | None = None
) -> list[Hypothesis]:
    """Return all that can be true of a pair that is read through.

    Args:
        across_ohms: the coil across which it is read, as the same meter shows it; None = joined.
    """
    sound = story.chance(numbers)
    damaged = {t: (1 - sound) * s for t, s in shares_of_damage(story.symptom, numbers).items()}
    coil, coil_sd = (0.0, 0.0) if across_ohms is None else (across_ohms, numbers.loop_coil_sd_ohms)
    whole = Near(loop.ohms + coil, hypot(loop.sd, coil_sd))
    poor = Near(
        whole.mean + numbers.loop_poor_adds_ohms, hypot(whole.sd, numbers.loop_poor_spread_ohms)
    )
    # Joined ends bridge a second coil; a known coil lies beside it.
    both = whole if not coil else Near(loop.ohms + coil / 2, hypot(loop.sd, coil_sd / 2))
    right, wrong = numbers.loop_apart_right, 1 - numbers.loop_apart_right
    other = Near(numbers.loop_other_ohms, numbers.loop_other_spread_ohms)
    soil = Between(THROUGH_SOIL_FROM_OHMS, THROUGH_SOIL_TO_OHMS)
    reads_open = {"p_open": numbers.loop_open_reads_open, "p_apart_open": right}
    elsewhere = {"p_open": numbers.loop_other_reads_open, "p_apart_open": 0.5}
    return [
        Hypothesis(Truth.SOUND, sound, whole, p_apart_open=right),
        Hypothesis(Truth.OPEN, damaged[Truth.OPEN], soil, **reads_open),
        Hypothesis(Truth.SHORT, damaged[Truth.SHORT], Between(0.0, loop.ohms), p_apart_open=wrong),
        Hypothesis(Truth.POOR, damaged[Truth.POOR], poor, p_apart_open=right),
        Hypothesis(Truth.OTHER, damaged[Truth.OTHER], other, **elsewhere),
        Hypothesis(Truth.TWO_COILS, damaged[Truth.TWO_COILS], both, p_apart_open=wrong),
        Hypothesis(Truth.HIDDEN, damaged[Truth.HIDDEN], whole, p_apart_open=right),
    ]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a reading says: how likely the pair is sound, and what it is if not."""

    verdict: Verdict
    chance: float
    truths: Mapping[Truth, float]

    @property
    def likeliest_damage(self) -> Truth:
        """What it most likely is, if it is not sound."""
        return max((t for t in self.truths if t is not Truth.SOUND), key=self.truths.__getitem__)


def judge_loop(
    loop: Loop,
    story: Story,
    numbers: LoopNumbers,
    ohms: float | None,
    *,
    apart_open: bool | None = None,
    across_ohms: float | None = None,
) -> Outcome:
    """Return the verdict on a reading; "sound" only from `loop_sound_from` on."""
    among = hypotheses(loop, story, numbers, across_ohms=across_ohms)
    truths = posterior(among, ohms, numbers.loop_meter_sd_ohms, apart_open=apart_open)
    chance = truths[Truth.SOUND]
    return Outcome(verdict_of(chance, numbers), chance, truths)


def verdict_of(chance: float, numbers: LoopNumbers) -> Verdict:
    """Return what is said at this chance."""
    if chance >= numbers.loop_sound_from:
        return Verdict.SOUND
    return Verdict.BROKEN if chance <= numbers.loop_broken_below else Verdict.DOUBTFUL


@dataclass(frozen=True, slots=True)
class Band:
    """Readings up to `to_ohms` (inf = the last) that say the same.

    `percent` is the chance of the doubtful ones, rounded down to five; else None.
    """

    to_ohms: float
    verdict: Verdict
    percent: int | None


STEP_OHMS = 0.1


def bands_of(
    loop: Loop, story: Story, numbers: LoopNumbers, *, apart_open: bool | None
) -> list[Band]:
    """Return what each joined reading says, for a phone without signal: one rule, ours."""
    most = round((loop.ohms + 4 * loop.sd + 8 * numbers.loop_poor_spread_ohms) / STEP_OHMS)
    among = hypotheses(loop, story, numbers)
    shown: Floats = np.arange(most + 1, dtype=np.float64) * STEP_OHMS
    chances = posteriors(among, shown, numbers.loop_meter_sd_ohms, apart_open)[0]
    verdicts = [verdict_of(float(chance), numbers) for chance in chances]
    percent = np.floor(chances * 20).astype(int) * 5
    found: list[Band] = []
    for n, (verdict, five) in enumerate(zip(verdicts, percent.tolist(), strict=True)):
        said = verdict, five if verdict is Verdict.DOUBTFUL else None
        is_last = n == most
        if found and (found[-1].verdict, found[-1].percent) == said:
            found.pop()
        found.append(Band(inf if is_last else round((n + 0.5) * STEP_OHMS, 2), *said))
    return found


def minutes_of(
    chance: float, *, is_read: bool, length_ft: float | None, numbers: LoopNumbers
) -> float:
    """Return the minutes of work that are expected until it is home, or known not to come.

    To read it takes the walk there and back and the test; to return it takes more, which is only
    spent where the wire is sound. Where no length is known the walk is left out.
    """
    walk = 2 * (length_ft or 0.0) / numbers.walk_ft_per_min
    home = numbers.loop_return_min
    return walk + (home if is_read else numbers.loop_test_min + chance * home)
