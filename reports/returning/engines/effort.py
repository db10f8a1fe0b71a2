"""What brings one station back: the work of its own, the work it shares, the days until then."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from faults.cases.engines.stages import Stage
from faults.waits.engines.waits import WaitsOn


class Step(StrEnum):
    """What the crew does next for it."""

    NOTHING = "nothing"
    RETURN = "return"
    MEND = "mend"
    SEARCH = "search"
    TEST = "test"
    REPAIR = "repair"


# Minutes of crew for each further station at a place where the crew is already: prove it with
# volts, give it back to the schedule, write it down. Our own choice.
PROVE_MIN = 10.0

# Central's operator does it, or the link returns: no crew drives for it.
_WITHOUT_CREW = frozenset({WaitsOn.ENABLE, WaitsOn.LINK})
_ONLY_RETURN = frozenset({WaitsOn.BRING_HOME, WaitsOn.AFTER_RETURN, WaitsOn.PROOF, WaitsOn.RETURN})
# The client wants it so, or said no: no hours of ours bring it back.
THE_CLIENTS = frozenset({WaitsOn.CLIENTS_CHOICE, WaitsOn.REFUSED})
_BY_STAGE = {
    Stage.REPORTED: Step.SEARCH,
    Stage.SCHEDULED: Step.SEARCH,
    Stage.FOUND: Step.MEND,
    Stage.AGREED: Step.MEND,
    Stage.MENDED: Step.RETURN,
    Stage.PROVEN: Step.RETURN,
}


def step_of(waits_on: WaitsOn | None, stage: Stage | None, *, is_wire: bool) -> Step:
    """Return what a crew does next for a station off central control.

    Args:
        waits_on: None where nothing was worked out yet: its stage decides.
        stage: of its open fault.
        is_wire: whether its wire is, or may be, what holds it off.
    """
    if waits_on in _WITHOUT_CREW:
        return Step.NOTHING
    if waits_on in _ONLY_RETURN:
        return Step.RETURN
    if stage in _BY_STAGE:
        return _BY_STAGE[stage]
    return Step.TEST if is_wire else Step.REPAIR


@dataclass(frozen=True, slots=True)
class Minutes:
    """What visits take here, crew minutes: all from the company's own numbers."""

    search: float
    mend: float
    give_back: float


def shared_minutes(step: Step, takes: Minutes) -> float:
    """Return what all stations of one fault share, from its next step until it is back."""
    if step is Step.NOTHING:
        return 0.0
    if step in (Step.RETURN, Step.REPAIR):
        return takes.give_back
    before = takes.search if step is Step.SEARCH else 0.0
    return before + takes.mend + takes.give_back


def lone_minutes(takes: Minutes, test_min: float | None, chance: float | None) -> float:
    """Return what a station without a fault is expected to take: first the loop is read.

    Args:
        test_min: of reading its loop and, if it is sound, giving it back.
        chance: that it is sound; without one it is searched for.
    """
    whole = takes.search + takes.mend + takes.give_back
    if chance is None or test_min is None:
        return whole
    return min(whole, test_min + (1 - chance) * whole)


@dataclass(frozen=True, slots=True)
class Days:
    """What others take, in days: a client's answer, the owners of buried lines, whatever holds."""

    answer: float
    notice: float
    held: float


_ANSWERED = frozenset(
    {WaitsOn.AGREE, WaitsOn.NOTICE, WaitsOn.NOTICE_CLEAR, WaitsOn.DIG, WaitsOn.DIG_DAY}
)
_CLEARED = frozenset({WaitsOn.DIG, WaitsOn.DIG_DAY, WaitsOn.MEND_RESULT})
_HELD = frozenset({WaitsOn.WEATHER, WaitsOn.PARTS, WaitsOn.ACCESS})


def days_until(
    step: Step, waits_on: WaitsOn | None, days: Days, *, set_in_days: float | None = None
) -> float:
    """Return after how many days it can be back at the earliest, if the crew goes at once.

    Args:
        set_in_days: until the day that is set for what it waits on, where one is.
    """
    digs = step in (Step.MEND, Step.SEARCH)
    answer = days.answer if digs and waits_on not in _ANSWERED | _CLEARED else 0.0
    if waits_on is WaitsOn.NOTICE_CLEAR:
        notice = days.notice if set_in_days is None else max(set_in_days, 0.0)
    else:
        notice = days.notice if digs and waits_on not in _CLEARED else 0.0
    held = 0.0
    if waits_on in _HELD:
        held = days.held if set_in_days is None else max(set_in_days, 0.0)
    return answer + notice + held


def middle_wait(waits: Sequence[tuple[float, bool]]) -> float | None:
    """Return the day by which half of all waits are over, those that still go on counted so far.

    It is the product-limit estimate (Kaplan and Meier 1958); None where half are not over yet.

    Args:
        waits: days, and whether it is over.
    """
    share = 1.0
    for day in sorted({each for each, is_over in waits if is_over}):
        left = sum(each >= day for each, _over in waits)
        share *= 1 - sum(each == day and is_over for each, is_over in waits) / left
        if share <= 0.5 + 1e-12:
            return day
    return None
