"""A past day counts what the trend counts, and what a count by hand finds."""

from datetime import date, timedelta
from random import Random

import pytest

from sites.models import SpellPart, Station, Stopgap, User
from sites.stopgaps.engines.spells import Reason
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.web.off_central.past_day import at, file_of, listed, off_over
from tests.web.pages import open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.mark.parametrize(
    ("day", "count"),
    [
        (date(2025, 3, 9), 0),
        (date(2025, 3, 10), 1),
        (date(2025, 3, 19), 1),
        (date(2025, 3, 20), 0),
        (date(2025, 4, 1), 1),
        (date(2025, 4, 4), 1),
        (date(2025, 4, 5), 0),
    ],
)
def test_a_spell_counts_from_its_first_day_to_the_day_before_its_end(
    manager: User, day: date, count: int
) -> None:
    off_over((date(2025, 1, 1), date(2025, 1, 2)))
    station = off_over((date(2025, 3, 10), date(2025, 3, 20)), (date(2025, 4, 1), date(2025, 4, 5)))
    page = open_page(manager, at(day))
    assert listed(page) == [str(station)] * count
    stood = open_page(manager, f"/stopgaps/?day={day}")
    assert len(stood.rows()) == count
    place = open_page(manager, f"/properties/{station.controller.property.ref}/?day={day}")
    # Before the first spell here nothing is known: the property says so, and shows today.
    assert ("off" in place.panels) is bool(count)


def test_of_two_spells_the_days_are_those_of_the_one_that_held(manager: User) -> None:
    off_over((date(2025, 1, 1), date(2025, 2, 1)), (date(2025, 3, 1), None))
    (row,) = open_page(manager, at("2025-01-31")).rows("list-title")
    assert row[5:7] == ["2025-01-01", "30"]
    (row,) = open_page(manager, at("2025-03-31")).rows("list-title")
    assert row[5:7] == ["2025-03-01", "30"]


def test_a_station_retired_since_counts_on_the_days_before(manager: User) -> None:
    station = off_over((date(2025, 1, 1), None))
    station.retired_on = date(2025, 5, 1)
    station.save()
    rebuild_spells([station.pk])
    assert listed(open_page(manager, at("2025-04-30"))) == [str(station)]
    assert listed(open_page(manager, at("2025-05-01"))) == []


def random_history(random: Random) -> list[Station]:
    """Make stations with one to three stopgaps each over two years."""
    stations = []
    for _ in range(25):
        station = make.station()
        day = date(2023, 7, 1) + timedelta(days=random.randrange(200))
        for _ in range(random.randint(1, 3)):
            end = day + timedelta(days=random.randint(1, 200))
            kept = end if end <= make.TODAY else None
            reason = random.choice(list(Reason)).value
            make.stopgap(station=station, on=day, removed_on=kept, reason=reason)
            if kept is None:
                break
            day = end + timedelta(days=random.choice([0, 0, 1, 40]))
            if day >= make.TODAY:
                break
        stations.append(station)
    rebuild_spells([station.pk for station in stations])
    off_over((date(2025, 6, 10), None))
    return stations


def brute_force(day: date) -> list[str]:
    """Return the reason of each station off on a day, by looking at every stopgap."""
    return sorted(
        gap.reason
        for gap in Stopgap.objects.all()
        if gap.counted_from <= day and (gap.removed_on is None or day < gap.removed_on)
    )


@pytest.mark.parametrize("seed", range(3))
def test_any_day_of_a_random_history_equals_a_count_by_hand(manager: User, seed: int) -> None:
    random = Random(seed)
    random_history(random)
    first = min(Stopgap.objects.values_list("counted_from", flat=True))
    for _ in range(8):
        day = first + timedelta(days=random.randrange((make.TODAY - first).days))
        expected = brute_force(day)
        page = open_page(manager, at(day))
        found = {row[0]: int(row[1]) for row in page.rows("why")} if expected else {"All": 0}
        assert found.pop("All") == len(expected), day
        words = {reason.value: str(word) for reason, word in zip(Reason, WORDS, strict=True)}
        assert found == {words[each]: expected.count(each) for each in set(expected)}, day
        written = file_of(manager, at(day, export="csv"))
        assert len(written) == len(expected) + 1


WORDS = ["wire", "valve or solenoid", "controller", "link lost", "client's choice", "not known"]


def test_a_month_end_has_the_number_of_the_trend(manager: User) -> None:
    random_history(Random(11))
    trend = {row[0]: int(row[-1]) for row in open_page(manager, "/").rows("trend")}
    checked = 0
    for day, count in list(trend.items())[1::4]:
        page = open_page(manager, at(day))
        if count:
            assert page.heading.startswith(f"{count} station"), day
            own = {row[0]: int(row[-1]) for row in page.rows("trend")}
            shared = own.keys() & trend.keys()
            assert {each: own[each] for each in shared} == {each: trend[each] for each in shared}
            checked += 1
    assert checked >= 3


def test_the_trend_of_a_day_within_a_month_ends_on_that_day(manager: User) -> None:
    off_over((date(2025, 3, 5), date(2025, 3, 20)))
    off_over((date(2025, 3, 25), None))
    page = open_page(manager, at("2025-03-15"))
    assert page.rows("trend")[0] == ["2025-03-15", "1", "1"]


def test_parts_of_one_spell_count_once_under_the_reason_of_the_day(manager: User) -> None:
    station = make.station()
    make.stopgap(
        station=station, on=date(2025, 1, 1), removed_on=date(2025, 2, 1), reason="not known"
    )
    make.stopgap(station=station, on=date(2025, 2, 1), reason="wire")
    rebuild_spells([station.pk])
    assert SpellPart.objects.filter(station=station).count() == 2
    for day, reason in (("2025-01-31", "not known"), ("2025-02-01", "wire")):
        page = open_page(manager, at(day))
        (row,) = page.rows("list-title")
        assert (row[3], row[5]) == (reason, "2025-01-01")
