"""From which flow or area on a station would belong into the set, where only that is missing."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from reports.returning.services.gathering import Case, Gathered
from sites.water.engines.inputs import NOTHING_KNOWN, Facts, Lacks
from sites.water.services.ahead import saved_between
from sites.water.services.gathered import Gathered as Water

# What a valve can pass and what one can water; beyond them no answer is given.
MOST_GPM = 200.0
MOST_SQFT = 100_000.0
_STEPS = 24


@dataclass(frozen=True)
class Turn:
    """An input at which a station enters the set: above it, or below it."""

    name: str
    value: float
    is_above: bool


def turn_of(found: Gathered, case: Case, needs: float) -> Turn | None:
    """Return where the one missing input turns; None where more is missing, or it never does.

    Args:
        needs: the worth from which on the station belongs into the set.
    """
    water = found.savings.water_of(case.station.pk)
    lacks = case.saving.water.lacks
    if water is None or len(lacks) != 1:
        return None
    asked = found.asked

    def worth_at(put: Callable[[Facts], Facts]) -> float:
        """The worth with the input put in; what counts besides water stays as it is."""
        saved = saved_between(_with(water, put), case.back_on, asked.until)
        if asked.in_water:
            return saved.excess_gal if saved.excess_gal is not None else 0.0
        return (saved.cost or 0.0) + (case.saving.visits_cost or 0.0) + case.besides

    lack = next(iter(lacks))
    if lack == Lacks.FLOW.value:
        return _rising(lambda x: worth_at(lambda one: replace(one, flow_gpm=x)), needs)
    if lack == Lacks.AREA.value:
        return _falling(lambda x: worth_at(lambda one: replace(one, area_sqft=x)), needs)
    return None


def _with(water: Water, put: Callable[[Facts], Facts]) -> Water:
    facts = [put(one) for one in water.water.facts] or [put(NOTHING_KNOWN)]
    return replace(water, water=replace(water.water, facts=facts))


def _rising(worth: Callable[[float], float], needs: float) -> Turn | None:
    """More flow never saves less: find where it is enough."""
    if worth(MOST_GPM) < needs:
        return None
    low, high = 0.0, MOST_GPM
    for _n in range(_STEPS):
        middle = (low + high) / 2
        low, high = (low, middle) if worth(middle) >= needs else (middle, high)
    return Turn(Lacks.FLOW.value, high, is_above=True)


def _falling(worth: Callable[[float], float], needs: float) -> Turn | None:
    """A larger area needs more of the water that it is given: find where it is too large."""
    if worth(1.0) < needs:
        return None
    if worth(MOST_SQFT) >= needs:
        return None
    low, high = 1.0, MOST_SQFT
    for _n in range(_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if worth(middle) >= needs else (low, middle)
    return Turn(Lacks.AREA.value, low, is_above=False)
