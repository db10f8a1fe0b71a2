"""Error rates of tests of both sides of a box, which now and then name the sides the wrong way.

Which pair was swapped is not known: each counts as swapped by its probability, the rates are
recomputed, and so on until they converge (expectation-maximisation, the defaults as evidence).
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import SPOILS_CONTROLLER_SIDE, SPOILS_VALVE_SIDE
from faults.locating.engines.box_tests import InsulationTest, TwoSided
from faults.locating.engines.learning_evidence import Finished, Truth
from faults.locating.engines.symptoms import FINDS_BY_EARTH, RESISTIVE, Symptom

ROUNDS = 60
SWAPPED = "box_swapped"


@dataclass(frozen=True)
class _Pair:
    """What both sides were and what was read of them, under the names of their rates."""

    sensitivity: str
    specificity: str
    true: tuple[bool, bool]
    read: tuple[bool | None, bool | None]


def learn_pairs(
    searches: Sequence[Finished], assumed: Assumptions
) -> dict[str, tuple[float, float]]:
    """Return for each rate how often it came true of how often it could have, by expectation."""
    pairs = [pair for search in searches if not search.had_second for pair in _pairs(search)]
    names = {name for pair in pairs for name in (pair.sensitivity, pair.specificity)}
    rates = {name: getattr(assumed, name) for name in (*names, SWAPPED)}
    weight = assumed.default_weighs_tests
    counts: dict[str, tuple[float, float]] = {}
    for _ in range(ROUNDS if pairs else 0):
        counts = _counted(pairs, rates)
        rates = {
            name: (weight * getattr(assumed, name) + counts[name][0]) / (weight + counts[name][1])
            for name in rates
        }
    return counts


def _pairs(search: Finished) -> Iterator[_Pair]:
    for test in search.readings:
        if isinstance(test, TwoSided):
            sensitivity, specificity = _names(test, search)
            sides = _sides(search.truth, test.box)
            read = (test.controller_bad, test.valve_bad)
            yield _Pair(sensitivity, specificity, sides, read)


def _names(test: TwoSided, search: Finished) -> tuple[str, str]:
    kind = "insulation" if isinstance(test, InsulationTest) else "box"
    sensitivity = f"{kind}_sensitivity"
    if search.soil_is_dry and search.symptom in FINDS_BY_EARTH:
        sensitivity = "dry_sensitivity"
    elif search.symptom is Symptom.COMES_AND_GOES:
        sensitivity = "fleeting_sensitivity"
    elif search.symptom in RESISTIVE and kind == "box":
        sensitivity = "resistive_sensitivity"
    return sensitivity, f"{kind}_specificity"


def _sides(truth: Truth, box: int) -> tuple[bool, bool]:
    if truth.cause is not None:
        return truth.cause in SPOILS_CONTROLLER_SIDE, truth.cause in SPOILS_VALVE_SIDE
    if truth.leg is not None:
        return truth.leg < box, truth.leg >= box
    splice = truth.splice or 0
    return splice < box, splice > box


def _counted(pairs: Sequence[_Pair], rates: dict[str, float]) -> dict[str, tuple[float, float]]:
    yes: dict[str, float] = defaultdict(float)
    tried: dict[str, float] = defaultdict(float)
    for pair in pairs:
        straight = (1 - rates[SWAPPED]) * _chance(pair, pair.true, rates)
        crossed = rates[SWAPPED] * _chance(pair, pair.true[::-1], rates)
        total = straight + crossed
        share = crossed / total if total > 0 else 0.0
        # Sides that are alike, or a side alone, tell little of a swap, but they count.
        yes[SWAPPED] += share
        tried[SWAPPED] += 1
        for sides, part in ((pair.true, 1 - share), (pair.true[::-1], share)):
            for is_bad, read in zip(sides, pair.read, strict=True):
                if read is not None:
                    name = pair.sensitivity if is_bad else pair.specificity
                    tried[name] += part
                    yes[name] += part * (read is is_bad)
    return {name: (yes[name], tried[name]) for name in rates}


def _chance(pair: _Pair, sides: tuple[bool, bool], rates: dict[str, float]) -> float:
    chance = 1.0
    for is_bad, read in zip(sides, pair.read, strict=True):
        if read is not None:
            right = rates[pair.sensitivity if is_bad else pair.specificity]
            chance *= right if read is is_bad else 1 - right
    return chance
