"""Three years of the demo: the product's counts are those of a plain count from the sheets."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.apps import apps
from django.core.management import call_command

from reports.off_central.queries import by_reason, month_ends, trend
from sites.kernel.engines.roles import Role
from sites.models import SpellPart, User
from sites.register.queries.stations import count_by_reason, in_the_ratio, off_central_on
from tests import make
from tests.stories.plain_count import SHEETS, Named, PlainCount
from tests.web.pages import open_page

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2023, 11, 1), date(2026, 11, 20)
EVERY_DAY = [FIRST + timedelta(days=n) for n in range((LAST - FIRST).days + 1)]
PAST = [date(2023, 11, 15), date(2024, 7, 4), date(2025, 11, 15), date(2026, 3, 31)]


@pytest.fixture(scope="module")
def manager(django_db_setup: None, django_db_blocker: Any) -> Iterator[User]:
    """A water manager of the demo's register: loaded once, as anyone's files would be, and
    emptied after the last of these tests."""
    noon = datetime(LAST.year, LAST.month, LAST.day, 12, tzinfo=UTC)
    with time_machine.travel(noon):
        with django_db_blocker.unblock():
            call_command("load", *SHEETS, verbosity=0, stdout=StringIO())
            user = make.user(Role.WATER_MANAGER)
        yield user
        with django_db_blocker.unblock():
            call_command("flush", verbosity=0, interactive=False)


@pytest.fixture(scope="module")
def plain() -> PlainCount:
    """The sheets, counted plainly."""
    return PlainCount()


@pytest.fixture(scope="module")
def parts(manager: User, django_db_blocker: Any) -> list[tuple[Named, date, date | None, str]]:
    """All that the product holds of days off central, fetched once."""
    rows = SpellPart.objects.values_list(
        "station__controller__property__code",
        "station__controller__name",
        "station__number",
        "from_on",
        "to_on",
        "reason",
    )
    with django_db_blocker.unblock():
        return [((code, name, str(number)), *days) for code, name, number, *days in rows]


def test_the_last_day_is_the_one_that_everybody_knows(manager: User) -> None:
    assert {line.reason: line.count for line in by_reason(manager)} == {
        "wire": 35,
        "valve or solenoid": 8,
        "controller": 7,
        "link lost": 11,
        "client's choice": 6,
        "not known": 7,
    }


def test_the_first_page_says_so(manager: User, collected_static: None) -> None:
    sheet = open_page(manager, "/")
    assert sheet.heading == "74 of 1,164 stations are off central control"
    assert sum(int(row[1]) for row in sheet.rows("why")[:-1]) == 74


def test_stations_not_meant_to_be_linked_are_in_no_ratio(manager: User, plain: PlainCount) -> None:
    assert in_the_ratio(manager).count() == len(plain.stations) == 1164


@pytest.mark.parametrize("day", [*PAST, LAST], ids=str)
def test_the_reasons_on_a_day_are_those_of_a_plain_count(
    manager: User, plain: PlainCount, day: date
) -> None:
    told = count_by_reason(off_central_on(manager, day))
    assert told == plain.by_reason(day)
    assert sum(told.values()) > 30


def test_on_every_day_of_three_years_each_station_has_the_reason_of_a_plain_count(
    parts: list[tuple[Named, date, date | None, str]], plain: PlainCount
) -> None:
    told: dict[date, list[tuple[Named, str]]] = defaultdict(list)
    for station, start, end, reason in parts:
        for day in EVERY_DAY:
            if start <= day and (end is None or day < end):
                told[day].append((station, reason))
    wrong = [day for day in EVERY_DAY if sorted(told[day]) != sorted(plain.off_on(day).items())]
    assert wrong == []


def test_on_every_day_the_reasons_add_up_to_the_total(
    parts: list[tuple[Named, date, date | None, str]], plain: PlainCount
) -> None:
    for day in EVERY_DAY:
        here = [(s, why) for s, start, end, why in parts if start <= day and (not end or day < end)]
        total = len({station for station, _ in here})
        assert sum(Counter(why for _, why in here).values()) == total == len(plain.off_on(day))


def test_the_products_own_query_agrees_on_a_day_of_each_quarter(
    manager: User, plain: PlainCount
) -> None:
    for day in EVERY_DAY[::93]:
        rows = off_central_on(manager, day)
        assert count_by_reason(rows) == plain.by_reason(day), day
        assert rows.count() == len(plain.off_on(day)), day


def test_the_trend_is_a_plain_count_at_the_end_of_each_of_24_months(
    manager: User, plain: PlainCount
) -> None:
    series = trend(manager, today=LAST, months=24)
    firsts = month_ends(LAST, 24)
    ends = [first - timedelta(days=1) for first in firsts[1:]] + [LAST]
    assert (ends[0], len(ends)) == (date(2024, 12, 31), 24)
    for column, end in enumerate(ends):
        told = {reason: values[column] for reason, values in series.items() if values[column]}
        assert told == plain.by_reason(end), end


def everything() -> dict[str, list[tuple[Any, ...]]]:
    """Return all rows of the register and of its history."""
    return {
        model.__name__: list(model.objects.order_by("pk").values_list())
        for label in ("sites", "faults")
        for model in apps.get_app_config(label).get_models(include_auto_created=True)
    }


def test_loading_the_same_files_again_changes_no_row_and_no_history(manager: User) -> None:
    before = everything()
    call_command("load", *SHEETS, verbosity=0, stdout=StringIO())
    after = everything()
    # That a load ran is written down; it has changed nothing.
    loads = {"Run", "Upload"}
    changed = {name for name, rows in after.items() if rows != before[name]}
    assert changed - loads == set()
    assert len(before["Station"]) == 1190
