"""Invented wires for the bring-home test: what is true of each is drawn, then what a meter shows.

The world is physical where the engine takes shortcuts: length, warmth and gauge are drawn by
themselves and multiplied, a poor splice never takes ohms away, and meters round.
"""

from dataclasses import dataclass

import numpy as np

from faults.readings.engines.bring_home import (
    Outcome,
    Story,
    Why,
    expected_loop,
    judge_loop,
    shares_of_damage,
)
from faults.readings.engines.loop_beliefs import Truth
from faults.readings.engines.loop_numbers import LoopNumbers
from sites.wires.engines.copper import WireSize, copper_factor
from sites.wires.engines.warmth import Warmth

NUMBERS = LoopNumbers()
SYMPTOMS = ("", "open", "short", "low voltage", "leak to earth", "comes and goes")
SOURCES = ("measured", "paced", "scaled", "guessed")
SIZES = (12, 14, 16, 18)
COIL_OHMS = 40.0


@dataclass(frozen=True)
class Played:
    """One test: what was said, and whether the wire is sound."""

    said: Outcome
    is_sound: bool


def play(draws: np.random.Generator) -> Played:
    """Draw a wire and its trouble, read it, and judge it."""
    length_ft = float(draws.uniform(100, 2500))
    size = WireSize(awg=int(draws.choice(SIZES)))
    share = NUMBERS.length_sd_share(str(draws.choice(SOURCES)))
    error_c = float(draws.choice([2.0, 3.5, 8.0]))
    mean_c = float(draws.uniform(2, 30))
    per_kft = 2 * size.ohms_per_kft(20.0)
    loop = expected_loop(
        ohms_at_20_c=per_kft * length_ft / 1000,
        length_ft=length_ft,
        length_sd_ft=share * length_ft,
        warmth=Warmth(mean_c, mean_c, error_c),
        size_sd_share=NUMBERS.loop_gauge_sd_share,
    )
    story = Story(
        Why(str(draws.choice([each.value for each in Why]))),
        symptom=str(draws.choice(SYMPTOMS)),
        others_broken=int(draws.integers(0, 4)),
        others_sound=int(draws.integers(0, 4)),
        days=int(draws.integers(0, 900)),
        length_ft=length_ft,
    )
    true_ohms = (
        per_kft
        * max(draws.normal(length_ft, share * length_ft), 1.0)
        / 1000
        * draws.normal(1.0, NUMBERS.loop_gauge_sd_share)
        * copper_factor(draws.normal(mean_c, error_c))
    )
    across = COIL_OHMS if draws.random() < 0.3 else None
    truth = _truth(story, draws)
    ohms, apart_open = _shown(truth, true_ohms, across, draws)
    looked = apart_open if draws.random() < 0.7 else None
    said = judge_loop(loop, story, NUMBERS, ohms, apart_open=looked, across_ohms=across)
    return Played(said, truth is Truth.SOUND)


def _truth(story: Story, draws: np.random.Generator) -> Truth:
    if draws.random() < story.chance(NUMBERS):
        return Truth.SOUND
    shares = shares_of_damage(story.symptom, NUMBERS)
    return list(shares)[int(draws.choice(len(shares), p=list(shares.values())))]


def _shown(
    truth: Truth, wire: float, across: float | None, draws: np.random.Generator
) -> tuple[float | None, bool]:
    """What the meter shows of it, joined or across a coil, and whether it is open apart."""
    right = draws.random() < NUMBERS.loop_apart_right
    coil = 0.0 if across is None else draws.normal(across, NUMBERS.loop_coil_sd_ohms)
    ohms: float | None = wire + coil
    apart_open = bool(right)
    match truth:
        case Truth.OPEN:
            is_open = draws.random() < NUMBERS.loop_open_reads_open
            ohms = None if is_open else draws.uniform(20.0, 10_000.0)
        case Truth.SHORT:
            ohms, apart_open = draws.uniform(0.0, wire), not right
        case Truth.POOR:
            adds = -1.0
            while adds < 0:
                adds = draws.normal(NUMBERS.loop_poor_adds_ohms, NUMBERS.loop_poor_spread_ohms)
            ohms = wire + coil + adds
        case Truth.OTHER:
            is_open = draws.random() < NUMBERS.loop_other_reads_open
            other = draws.normal(NUMBERS.loop_other_ohms, NUMBERS.loop_other_spread_ohms)
            ohms, apart_open = None if is_open else other, bool(draws.random() < 0.5)
        case Truth.TWO_COILS:
            ohms, apart_open = wire + coil / 2, not right
    if ohms is None:
        return None, apart_open
    shown = round(max(ohms + draws.normal(0, NUMBERS.loop_meter_sd_ohms), 0.0), 1)
    return float(shown), apart_open


@dataclass
class Tally:
    """How often what was said was so."""

    near_95: int = 0
    near_95_sound: int = 0
    said_sound: int = 0
    wrong: int = 0
    said_broken: int = 0
    broken_but_sound: int = 0

    def add(self, one: Played) -> None:
        """Count one."""
        if 0.93 <= one.said.chance <= 0.97:
            self.near_95 += 1
            self.near_95_sound += one.is_sound
        if one.said.verdict.value == "sound":
            self.said_sound += 1
            self.wrong += not one.is_sound
        if one.said.verdict.value == "broken":
            self.said_broken += 1
            self.broken_but_sound += one.is_sound


def played_until(near_95: int, seed: int) -> Tally:
    """Play tests until so many gave a chance of 93 to 97 %."""
    draws, tally = np.random.default_rng(seed), Tally()
    while tally.near_95 < near_95:
        tally.add(play(draws))
    return tally
