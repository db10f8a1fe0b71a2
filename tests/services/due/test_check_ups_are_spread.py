"""Yearly check-ups of a register that was just loaded: spread, and left to rounds. Our own rule."""

from collections import Counter
from datetime import UTC, datetime, timedelta

import pytest

from faults.due.services.checkups import A_DAY, spread_share
from faults.due.services.raising import raise_by_rules
from faults.models import FollowUp, FollowUpKind, JobKind
from faults.rounds.services.making import end_round
from tests import make, make_rounds

pytestmark = pytest.mark.django_db


def raised(days: int) -> list[FollowUp]:
    """What is raised so many days from now."""
    raise_by_rules(at=datetime.now(UTC) + timedelta(days=days))
    rows = FollowUp.objects.open().filter(kind=FollowUpKind.CHECK_UP)
    return list(rows.order_by("due_on", "pk"))


def test_shares_lie_evenly_however_many_there_are() -> None:
    assert [spread_share(n) for n in range(5)] == [0.0, 0.5, 0.25, 0.75, 0.125]
    for total in (2, 7, 64, 365):
        tenths = Counter(int(spread_share(n) * 10) for n in range(total))
        assert max(tenths.values()) - min(tenths.get(k, 0) for k in range(10)) <= 4
        assert max(spread_share(n) for n in range(total)) < 1


def test_59_controllers_are_not_due_on_one_day() -> None:
    for total in (10, 9, 10, 10, 10, 10):
        place = make.place()
        for _n in range(total):
            make.station(controller=make.controller(property=place))
    soon = raised(0)
    assert 0 < len(soon) < 20
    rows = raised(365)
    assert len(rows) == 59
    a_day = Counter(row.due_on for row in rows)
    assert max(a_day.values()) <= A_DAY
    first, last = min(a_day), max(a_day)
    assert timedelta(days=200) < last - first < timedelta(days=365)
    # Who looks again finds each on its day.
    days = {row.pk: row.due_on for row in rows}
    assert {row.pk: row.due_on for row in raised(366)} == days


def test_a_new_property_moves_no_other() -> None:
    for _n in range(3):
        make.station()
    before = {row.controller_id: row.due_on for row in raised(365)}
    make.station()
    after = {row.controller_id: row.due_on for row in raised(365)}
    assert {key: after[key] for key in before} == before


def test_what_a_round_of_check_ups_goes_to_is_due_with_the_round_only() -> None:
    place = make.place()
    one, two = (make.station(controller=make.controller(property=place)) for _n in range(2))
    given = {"purpose": JobKind.CHECK_UP.value, "repeats": "interval"}
    given["rule"] = "FREQ=YEARLY;INTERVAL=1"
    assert {row.controller for row in raised(0)} == {one.controller, two.controller}
    chosen = make_rounds.round_over(place, stations=[one], **given)
    assert {row.controller for row in raised(0)} == {two.controller}
    beside = make.station(controller=one.controller)
    assert {row.controller for row in raised(0)} == {one.controller, two.controller}
    beside.retired_on = make.TODAY
    beside.save()
    end_round(the_round=chosen, why="all of it now", today=make.TODAY)
    make_rounds.round_over(place, purpose=JobKind.CHECK_UP.value)
    # One that comes once takes the yearly line from nobody.
    assert {row.controller for row in raised(0)} == {one.controller, two.controller}
    whole = make_rounds.round_over(place, **given)
    assert raised(0) == []
    end_round(the_round=whole, why="no more", today=make.TODAY)
    assert {row.controller for row in raised(0)} == {one.controller, two.controller}
