"""When a place may be entered: the minute before, at and after it opens and closes; two of each."""

from datetime import date, time

import pytest

from sites.register.engines.open_hours import Closed, Open, WeekHours, minutes_between, open_on

MONDAY, TUESDAY = date(2025, 6, 16), date(2025, 6, 17)
MORNING = WeekHours(0, time(6), time(10))
EVENING = WeekHours(0, time(18), time(21))


@pytest.mark.parametrize(
    ("starts_at", "minutes", "holds"),
    [
        (time(5, 59), 60, False),
        (time(6), 60, True),
        (time(6), 240, True),
        (time(6), 241, False),
        (time(9, 59), 1, True),
        (time(9, 59), 2, False),
        (time(10), 0, False),
        (time(10), 1, False),
        (time(17, 59), 30, False),
        (time(18), 180, True),
        (time(18, 1), 180, False),
    ],
)
def test_work_starts_and_ends_while_it_is_open(starts_at: time, minutes: int, holds: bool) -> None:
    assert open_on(MONDAY, [EVENING, MORNING], []).holds(starts_at, minutes) is holds


def test_the_hours_of_the_day_come_in_order_and_the_longest_counts() -> None:
    found = open_on(MONDAY, [EVENING, MORNING], [])
    assert found == Open(((time(6), time(10)), (time(18), time(21))))
    assert found.longest_min() == 240


def test_hours_on_other_weekdays_close_this_one_and_none_at_all_open_every_day() -> None:
    assert open_on(TUESDAY, [MORNING], []) == Open(())
    assert open_on(TUESDAY, [MORNING], []).longest_min() == 0
    whole = open_on(TUESDAY, [], [])
    assert whole.longest_min() == 24 * 60
    assert whole.holds(time(0), 24 * 60)
    assert not whole.holds(time(0, 1), 24 * 60)


@pytest.mark.parametrize(
    ("from_on", "to_on", "closed"),
    [
        (date(2025, 6, 14), MONDAY, False),
        (date(2025, 6, 14), TUESDAY, True),
        (MONDAY, TUESDAY, True),
        (TUESDAY, date(2025, 6, 20), False),
    ],
)
def test_a_blackout_closes_from_its_first_day_to_the_one_before_its_end(
    from_on: date, to_on: date, closed: bool
) -> None:
    found = open_on(MONDAY, [MORNING], [Closed(from_on, to_on, "fair")])
    assert found == (Open((), "fair") if closed else Open(((time(6), time(10)),)))


def test_of_two_blackouts_the_one_that_began_first_says_why() -> None:
    both = [Closed(MONDAY, TUESDAY, "wedding"), Closed(date(2025, 6, 10), TUESDAY, "fair")]
    assert open_on(MONDAY, [], both).why == "fair"
    same = [Closed(MONDAY, date(2025, 6, 18), "a"), Closed(MONDAY, TUESDAY, "b")]
    assert open_on(MONDAY, [], same).why == "b"


@pytest.mark.parametrize(
    ("start", "end", "minutes"),
    [
        (time(6), time(6), 0),
        (time(6), time(6, 1), 1),
        (time(6, 30), time(8, 15), 105),
        (time(0), time.max, 1440),
        (time(23, 59), time.max, 1),
        (time(22, 30), time.max, 90),
    ],
)
def test_minutes_between(start: time, end: time, minutes: int) -> None:
    assert minutes_between(start, end) == minutes


@pytest.mark.parametrize("weekday", [-1, 7])
def test_a_week_has_seven_days(weekday: int) -> None:
    assert [WeekHours(day, time(6), time(7)).weekday for day in (0, 6)] == [0, 6]
    with pytest.raises(ValueError, match=f"weekday in 0..6, got {weekday}"):
        WeekHours(weekday, time(6), time(7))


def test_hours_end_after_they_begin() -> None:
    assert WeekHours(0, time(6), time(6, 1)).closes_at == time(6, 1)
    for ends in (time(6), time(5, 59)):
        with pytest.raises(ValueError, match="closes_at > opens_at"):
            WeekHours(0, time(6), ends)
