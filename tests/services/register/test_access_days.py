"""When a property may be entered: hours, days on which nobody may work, and the verbs."""

from datetime import date, time

import pytest

from sites.models import Property
from sites.register.engines.open_hours import WHOLE_DAY, Closed, Open, WeekHours, open_on
from sites.register.services.access_days import (
    AccessBook,
    UnableToSetAccess,
    add_blackout,
    change_blackout,
    set_access_hours,
    take_back_blackout,
)
from tests import make

pytestmark = pytest.mark.django_db

MONDAY, TUESDAY = date(2025, 6, 9), date(2025, 6, 10)
MORNING = WeekHours(0, time(7), time(12))
AFTERNOON = WeekHours(0, time(13), time(16, 30))


def open_hours(place: Property, day: date) -> Open:
    """Return when a property may be entered on a day."""
    return AccessBook.of([place.pk]).open_on(place.pk, day)


def test_a_place_without_hours_is_open_at_any_time() -> None:
    assert open_hours(make.place(), MONDAY) == Open((WHOLE_DAY,))
    assert Open((WHOLE_DAY,)).holds(time(0), 24 * 60)


def test_a_place_with_hours_is_closed_on_other_weekdays() -> None:
    place = make.place()
    set_access_hours(place=place, hours=[AFTERNOON, MORNING])
    monday = open_hours(place, MONDAY)
    assert monday.hours == ((time(7), time(12)), (time(13), time(16, 30)))
    assert monday.longest_min() == 300
    assert open_hours(place, TUESDAY).hours == ()


@pytest.mark.parametrize(
    ("starts_at", "minutes", "holds"),
    [
        (time(7), 300, True),
        (time(7), 301, False),
        (time(6, 59), 10, False),
        (time(11, 30), 30, True),
        (time(12), 10, False),
        (time(13), 210, True),
        (time(16, 30), 1, False),
    ],
)
def test_work_fits_into_one_stretch(starts_at: time, minutes: int, holds: bool) -> None:
    day = open_on(MONDAY, [MORNING, AFTERNOON], [])
    assert day.holds(starts_at, minutes) is holds


def test_a_blackout_closes_its_days_but_not_its_end() -> None:
    closed = [Closed(MONDAY, TUESDAY, "a fair")]
    assert open_on(MONDAY, [], closed) == Open((), "a fair")
    assert open_on(TUESDAY, [], closed).hours == (WHOLE_DAY,)


@pytest.mark.parametrize(
    ("weekday", "opens", "closes"), [(7, time(7), time(8)), (0, time(8), time(8))]
)
def test_hours_that_cannot_be_are_no_hours(weekday: int, opens: time, closes: time) -> None:
    with pytest.raises(ValueError, match="Expected"):
        WeekHours(weekday, opens, closes)


def test_hours_that_overlap_are_refused() -> None:
    place = make.place()
    with pytest.raises(UnableToSetAccess, match="overlap"):
        set_access_hours(place=place, hours=[MORNING, WeekHours(0, time(11, 59), time(14))])
    set_access_hours(place=place, hours=[MORNING, WeekHours(0, time(12), time(14))])
    assert place.access_hours.count() == 2


def test_setting_the_hours_again_touches_only_what_differs() -> None:
    place = make.place()
    set_access_hours(place=place, hours=[MORNING, AFTERNOON])
    kept = place.access_hours.get(opens_at=time(7)).pk
    set_access_hours(place=place, hours=[MORNING])
    assert [row.pk for row in place.access_hours.all()] == [kept]
    set_access_hours(place=place, hours=[])
    assert open_hours(place, TUESDAY).hours == (WHOLE_DAY,)


def test_a_blackout_is_added_changed_and_taken_back() -> None:
    place = make.place()
    with pytest.raises(UnableToSetAccess, match="before it begins"):
        add_blackout(place=place, from_on=MONDAY, to_on=MONDAY, why="a fair")
    with pytest.raises(UnableToSetAccess, match="why"):
        add_blackout(place=place, from_on=MONDAY, to_on=TUESDAY, why=" ")
    out = add_blackout(place=place, from_on=MONDAY, to_on=TUESDAY, why=" a fair ")
    assert open_hours(place, MONDAY).why == "a fair"
    change_blackout(blackout=out, from_on=TUESDAY, to_on=date(2025, 6, 11), why="rain date")
    assert (open_hours(place, MONDAY).hours, open_hours(place, TUESDAY).why) == (
        (WHOLE_DAY,),
        "rain date",
    )
    take_back_blackout(blackout=out, why="called off")
    assert open_hours(place, TUESDAY).hours == (WHOLE_DAY,)
    with pytest.raises(UnableToSetAccess, match="already"):
        take_back_blackout(blackout=out, why="again")
