"""What waiting weighs in a rota. The half-way points are our own choice, no source."""

import pytest

from faults.rota.engines.instance import PENALTY_MIN
from faults.rota.engines.weighing import Waiting, weight


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
