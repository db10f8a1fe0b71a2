"""What waiting weighs in a rota. The half-way points are our own choice, no source."""

import pytest

from faults.rota.engines.instance import PENALTY_MIN
from faults.rota.engines.weighing import Cause, Proposal, Waiting, proposed, weight


def test_what_does_not_wait_weighs_its_priority() -> None:
    assert [weight(PENALTY_MIN[each], Waiting(0)) for each in (1, 2, 3, 4)] == [
        250,
        500,
        1000,
        2000,
    ]
    # Not known is neither nothing nor much: it adds nothing.
    assert weight(500, Waiting(0, None)) == weight(500, Waiting(0, 0.0)) == 500


def test_half_way_by_days_or_by_water() -> None:
    assert weight(500, Waiting(30)) == 750
    assert weight(500, Waiting(0, 1000.0)) == 750
    # Both: what is left of the way is halved twice.
    assert weight(500, Waiting(30, 1000.0)) == 875


@pytest.mark.parametrize("priority", [1, 2, 3])
def test_waiting_never_overtakes_a_priority(priority: int) -> None:
    most = weight(PENALTY_MIN[priority], Waiting(100_000, 1e9))
    assert most == PENALTY_MIN[priority + 1] - 1


def test_more_waiting_weighs_more() -> None:
    days = [weight(500, Waiting(days)) for days in (0, 1, 7, 30, 365)]
    water = [weight(500, Waiting(7, gallons)) for gallons in (0.0, 50.0, 500.0, 5000.0)]
    assert days == sorted(set(days))
    assert water == sorted(set(water))


@pytest.mark.parametrize(("days", "gallons"), [(-1, None), (0, -1.0)])
def test_nothing_waits_less_than_no_time(days: int, gallons: float | None) -> None:
    with pytest.raises(ValueError, match="0 or more"):
        Waiting(days, gallons)


# The edges are our own choice, no source.
@pytest.mark.parametrize(
    ("days", "gallons", "promised", "priority", "causes"),
    [
        (0, None, None, 1, ()),
        (6, 199.9, 8, 1, ()),
        (7, None, None, 2, (Cause.WAITS,)),
        (29, None, None, 2, (Cause.WAITS,)),
        (30, None, None, 3, (Cause.WAITS,)),
        (0, 200.0, None, 2, (Cause.WATER,)),
        (0, 999.9, None, 2, (Cause.WATER,)),
        (0, 1000.0, None, 3, (Cause.WATER,)),
        (0, 5000.0, None, 4, (Cause.WATER,)),
        (0, None, 7, 3, (Cause.PROMISE,)),
        (0, None, 2, 3, (Cause.PROMISE,)),
        (0, None, 1, 4, (Cause.PROMISE,)),
        (0, None, -5, 4, (Cause.PROMISE,)),
        # The highest rules, and all that ask for it are named.
        (400, 250.0, 7, 3, (Cause.WAITS, Cause.PROMISE)),
        (7, 5000.0, 0, 4, (Cause.WATER, Cause.PROMISE)),
    ],
)
def test_a_priority_is_proposed_from_days_water_and_promises(
    days: int,
    gallons: float | None,
    promised: int | None,
    priority: int,
    causes: tuple[Cause, ...],
) -> None:
    assert proposed(Waiting(days, gallons), promised) == Proposal(priority, causes)
