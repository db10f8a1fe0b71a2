"""Numbers of the plan learned from a company's own finished searches.

Each default counts as so much evidence (`default_weighs_*`), so that a few searches move little
and many move much. What a search shows is counted against where the fault was found in the end.

Source: beta-binomial and gamma-Poisson conjugacy, and expectation-maximisation for which pairs
were swapped (textbook, from memory).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from faults.locating.engines.assumptions import TESTS, Assumptions
from faults.locating.engines.belief import NUMBER_OF, Conductor
from faults.locating.engines.learning_counts import count_tests
from faults.locating.engines.learning_evidence import PACES, WALK, Finished
from faults.locating.engines.learning_pairs import learn_pairs
from faults.locating.engines.line import Leg


@dataclass(frozen=True)
class Number:
    """One learned number: its default, how much evidence there was, and what it became."""

    name: str
    default: float
    evidence: float
    learned: float


@dataclass(frozen=True)
class Learned:
    """New assumptions, each number that had evidence, and how well the likelihoods did.

    `held` is the share of likely sets that held the fault, shrunk to the 90 % that they say;
    `mean_predicted` the mean likelihood of the true place. None where no search says.
    """

    assumed: Assumptions
    numbers: tuple[Number, ...]
    searches: int
    held: float | None
    mean_predicted: float | None


CAUSES = {name: cause for cause, name in NUMBER_OF.items()}


def learn(searches: Sequence[Finished], assumed: Assumptions, legs: Sequence[Leg] = ()) -> Learned:
    """Return the assumptions as finished searches leave them.

    Args:
        legs: each leg on record once, with its years and faults, searched or not.
    """
    numbers = [
        *_rates(searches, assumed),
        *_shares(searches, assumed),
        *_paces(searches, assumed),
        *_hazard(legs, assumed),
    ]
    new = replace(assumed, **{number.name: number.learned for number in numbers})
    predicted = [each.predicted for each in searches if each.predicted is not None]
    held = [each.was_in_likely_set for each in searches if each.was_in_likely_set is not None]
    return Learned(
        new,
        tuple(numbers),
        len(searches),
        _shrunk(0.9, sum(held), len(held), assumed.default_weighs_tests) if held else None,
        sum(predicted) / len(predicted) if predicted else None,
    )


def _shrunk(default: float, yes: float, tried: float, weight: float) -> float:
    return (weight * default + yes) / (weight + tried)


def _rates(searches: Sequence[Finished], assumed: Assumptions) -> list[Number]:
    learned = count_tests(searches, assumed) | learn_pairs(searches, assumed)
    weight = assumed.default_weighs_tests
    numbers = {
        name: Number(
            name,
            getattr(assumed, name),
            tried,
            _shrunk(getattr(assumed, name), yes, tried, weight),
        )
        for name, (yes, tried) in learned.items()
        if tried > 0
    }
    return [number for number in numbers.values() if not _tells_nothing(number, numbers, assumed)]


def _tells_nothing(number: Number, numbers: Mapping[str, Number], assumed: Assumptions) -> bool:
    """Whether with this rate its test would say nothing: then both keep their defaults."""
    test = number.name.rsplit("_", 1)[0]
    if test not in TESTS:
        return False
    both = [f"{test}_sensitivity", f"{test}_specificity"]
    values = [numbers[name].learned if name in numbers else getattr(assumed, name) for name in both]
    return sum(values) <= 1


def _shares(searches: Sequence[Finished], assumed: Assumptions) -> list[Number]:
    """How often which cause, conductor, or a second fault."""
    weight, numbers = assumed.default_weighs_tests, []
    causes = [each.truth.cause for each in searches]
    on_legs = [each.truth.conductor for each in searches if each.truth.leg is not None]
    counted = {name: (causes.count(cause), len(causes)) for name, cause in CAUSES.items()}
    counted["bundle_share"] = (on_legs.count(Conductor.BUNDLE), len(on_legs))
    counted["common_share"] = (on_legs.count(Conductor.COMMON), len(on_legs))
    counted["two_faults"] = (sum(each.had_second for each in searches), len(searches))
    for name, (yes, tried) in counted.items():
        default = getattr(assumed, name)
        if tried:
            numbers.append(Number(name, default, tried, _shrunk(default, yes, tried, weight)))
    return numbers


def _paces(searches: Sequence[Finished], assumed: Assumptions) -> list[Number]:
    """Minutes for each unit, or feet for each minute: the default counts as so many minutes."""
    weight, numbers = assumed.default_weighs_minutes, []
    for name in PACES:
        took = [each for search in searches for each in search.took if each.what == name]
        default = getattr(assumed, name)
        if not took or default == 0:
            continue
        minutes, amount = sum(each.minutes for each in took), sum(each.amount for each in took)
        by_default = weight * default if name == WALK else weight / default
        units = (by_default + amount) / (weight + minutes)
        numbers.append(Number(name, default, minutes, units if name == WALK else 1 / units))
    return numbers


def _hazard(legs: Sequence[Leg], assumed: Assumptions) -> list[Number]:
    """Faults for each foot and year of wire; what a leg has of its own stays with the leg."""
    foot_years = sum(leg.length_ft * leg.years * leg.hazard_factor for leg in legs)
    if foot_years == 0:
        return []
    faults = sum(leg.faults for leg in legs if leg.years > 0)
    weight, default = assumed.default_weighs_faults, assumed.hazard_per_ft_year
    learned = (weight + faults) / (weight / default + foot_years)
    return [Number("hazard_per_ft_year", default, faults, learned)]
