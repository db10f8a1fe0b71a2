"""Rows of the ranking are made when they are looked at, and are the same whichever comes first."""

import random
from datetime import date, timedelta
from typing import Any
from unittest.mock import patch

import pytest

from reports.hotspots.services.pictures import funnel_of
from reports.hotspots.services.ranking import View, look
from reports.hotspots.services.rows import Rows
from reports.hotspots.tables import HotspotTable, RankedRows
from tests.services.hotspots.trunk import ALL, Trunk, trunk

pytestmark = pytest.mark.django_db


@pytest.fixture
def line() -> Trunk:
    """Forty legs of drawn lengths, the second of them struck eight times, others now and then."""
    drawn = random.Random(20260101)
    made = trunk(tuple(drawn.choice((50.0, 100.0, 250.0)) for _ in range(40)))
    for number in range(8):
        made.struck(made.legs[1], date(2021, 1, 1) + timedelta(days=90 * number))
    for _ in range(12):
        made.struck(drawn.choice(made.legs), date(2020, 6, 1) + timedelta(drawn.randrange(1500)))
    return made


@pytest.fixture
def view(line: Trunk) -> View:
    """The ranking of the line."""
    return look([line.place], ALL)


def test_a_row_says_the_same_from_either_end(view: View, line: Trunk) -> None:
    rows = list(look([line.place], ALL).rows)
    assert [row.rank for row in rows] == list(range(1, 41))
    assert view.rows[-1] == rows[-1]
    assert view.rows[5:8] == rows[5:8]
    assert view.rows[0] is view.rows[0]
    with pytest.raises(IndexError):
        view.rows[40]


def test_the_flagged_and_the_best_observed_are_those_of_all_rows(view: View) -> None:
    rows = list(view.rows)
    assert view.rows.flagged == [row for row in rows if row.is_flagged] != []
    assert view.rows.flagged[0].first.row.pk == rows[0].first.row.pk
    expecting = [row for row in rows if row.expected > 0]
    by_hand = sorted(expecting, key=lambda row: (not row.is_flagged, -row.expected))
    for most in (1, 2, 39, 40, 41):
        assert view.rows.best_observed(most) == by_hand[:most]
    funnel = funnel_of(view)
    assert funnel is not None
    assert [dot.name for dot in funnel.dots] == [row.name for row in by_hand]


def test_a_leg_is_found_by_its_key(view: View, line: Trunk) -> None:
    row = view.row_of(line.legs[1].pk)
    assert row is view.rows[0]
    assert view.row_of(0) is None


def test_a_page_by_rank_makes_no_row_but_its_own(line: Trunk) -> None:
    made: list[int] = []
    whole = Rows._make

    def counted(self: Rows, places: Any) -> None:
        made.extend(places.tolist())
        whole(self, places)

    with patch.object(Rows, "_make", counted):
        table = HotspotTable(
            RankedRows(look([line.place], ALL).rows), query="", by_properties=False
        )
        table.paginate(page=2, per_page=10)
        shown = [row.record for row in table.paginated_rows]
    assert [row.rank for row in shown] == list(range(11, 21))
    assert [row.at for row in shown] == made


@pytest.mark.parametrize("name", ["ratio", "counted", "feet", "years", "rate", "last", "evidence"])
def test_another_order_is_over_all_rows(view: View, name: str) -> None:
    ours = HotspotTable(
        RankedRows(view.rows), query="", by_properties=False, order_by=(f"-{name}",)
    )
    all_at_once = HotspotTable(
        list(view.rows), query="", by_properties=False, order_by=(f"-{name}",)
    )
    assert [row.record.rank for row in ours.rows] == [row.record.rank for row in all_at_once.rows]
    again = HotspotTable(RankedRows(view.rows), query="", by_properties=False, order_by=("-rank",))
    assert [row.record.rank for row in again.rows] == list(range(40, 0, -1))


def test_without_a_located_fault_there_are_no_rows() -> None:
    rows = look([], ALL).rows
    assert (list(rows), rows.flagged, rows.best_observed(3), rows.of_leg(1)) == ([], [], [], None)
