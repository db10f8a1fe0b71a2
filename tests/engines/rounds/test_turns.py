"""When turns of rounds begin. Recurrence as RFC 5545, 3.3.10; the rest is our rule, no source."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.rounds.engines.turns import (
    Made,
    Repeats,
    Rhythm,
    Turn,
    UnreadableRule,
    every_of,
    in_year,
    rule_of,
    turn_to_plan,
    turns_of,
)

SEASON = ((3, 15), (10, 20))
FAR = date(2031, 1, 1)


def begins(rhythm: Rhythm, until: date, season: object = SEASON) -> list[str]:
    """The days on which turns begin."""
    found = turns_of(rhythm, season, since=date(2000, 1, 1), until=until)  # type: ignore[arg-type]
    return [turn.begins_on.isoformat() for turn in found]


def interval(every: int, unit: str, starts_on: date) -> Rhythm:
    """A round every so often."""
    return Rhythm(Repeats.INTERVAL, starts_on, rule=rule_of(every, unit, starts_on))


@pytest.mark.parametrize(
    ("every", "unit", "first", "expected"),
    [
        (6, "months", date(2026, 3, 1), ["2026-03-01", "2026-09-01", "2027-03-01"]),
        (2, "weeks", date(2026, 3, 1), ["2026-03-01", "2026-03-15", "2026-03-29"]),
        (1, "months", date(2027, 1, 31), ["2027-01-31", "2027-02-28", "2027-03-31"]),
        (1, "months", date(2027, 1, 29), ["2027-01-29", "2027-02-28", "2027-03-29"]),
        (1, "years", date(2028, 2, 29), ["2028-02-29", "2029-02-28", "2030-02-28"]),
        (10, "days", date(2026, 12, 25), ["2026-12-25", "2027-01-04", "2027-01-14"]),
    ],
)
def test_an_interval_comes_on_its_day_or_the_last_of_a_short_month(
    every: int, unit: str, first: date, expected: list[str]
) -> None:
    rhythm = interval(every, unit, first)
    assert begins(rhythm, date.fromisoformat(expected[-1])) == expected
    assert begins(rhythm, date.fromisoformat(expected[-1]) - timedelta(days=1)) == expected[:-1]
    assert every_of(rhythm.rule) == (every, unit)


def test_a_season_is_the_propertys_own_and_none_where_it_has_none() -> None:
    start = Rhythm(Repeats.SEASON_START, date(2026, 1, 1), days_before=14, within_days=14)
    assert begins(start, date(2027, 3, 1)) == ["2026-03-01", "2027-03-01"]
    assert begins(start, date(2027, 2, 28)) == ["2026-03-01"]
    end = Rhythm(Repeats.SEASON_END, date(2026, 1, 1))
    assert begins(end, date(2026, 12, 31)) == ["2026-10-20"]
    assert begins(end, FAR, season=None) == []
    (turn,) = turns_of(start, SEASON, since=date(2026, 1, 1), until=date(2026, 3, 1))
    assert turn == Turn(date(2026, 3, 1), date(2026, 3, 15), "2026")


def test_no_turn_has_its_day_before_the_first_day() -> None:
    for first, expected in [
        (date(2026, 3, 14), "2026-03-15"),
        (date(2026, 3, 15), "2026-03-15"),
        (date(2026, 3, 16), "2027-03-15"),
    ]:
        assert begins(Rhythm(Repeats.SEASON_START, first), FAR)[0] == expected


def test_a_leap_day_is_the_day_before_in_other_years() -> None:
    assert in_year((2, 29), 2028) == date(2028, 2, 29)
    assert in_year((2, 29), 2027) == date(2027, 2, 28)
    assert in_year((2, 28), 2028) == date(2028, 2, 28)


def test_a_rule_that_is_not_ours_is_refused() -> None:
    broken = Rhythm(Repeats.INTERVAL, date(2026, 1, 1), rule="FREQ=SOMETIMES")
    with pytest.raises(UnreadableRule):
        turns_of(broken, None, since=date(2026, 1, 1), until=FAR)
    with pytest.raises(UnreadableRule):
        every_of("FREQ=HOURLY;INTERVAL=2")
    for every, unit in [(0, "months"), (121, "months"), (1, "moons")]:
        with pytest.raises(ValueError, match="Expected 1 to 120"):
            rule_of(every, unit, date(2026, 1, 1))
    with pytest.raises(ValueError, match="within_days >= 1"):
        Rhythm(Repeats.ONCE, date(2026, 1, 1), within_days=0)
    with pytest.raises(ValueError, match="days_before >= 0"):
        Rhythm(Repeats.ONCE, date(2026, 1, 1), days_before=-1)


def monthly() -> list[Turn]:
    """A turn on the first of each month of 2026."""
    return turns_of(
        interval(1, "months", date(2026, 1, 1)), None, since=date(2026, 1, 1), until=FAR
    )[:12]


def planned(*made: Made, today: date, ahead: int = 28) -> str:
    """Which turn is planned now; empty = none."""
    turn = turn_to_plan(monthly(), made, today=today, until=today + timedelta(days=ahead))
    return turn.begins_on.isoformat() if turn else ""


def test_the_first_turn_is_planned_from_four_weeks_ahead() -> None:
    first = monthly()[0].begins_on
    assert planned(today=first - timedelta(days=29)) == ""
    assert planned(today=first - timedelta(days=28)) == "2026-01-01"
    assert planned(today=first) == "2026-01-01"


def test_of_missed_turns_only_the_newest_is_planned() -> None:
    assert planned(today=date(2026, 4, 30), ahead=0) == "2026-04-01"
    assert planned(today=date(2026, 5, 1), ahead=0) == "2026-05-01"


def test_nothing_is_planned_while_a_visit_is_open() -> None:
    january = Made("2026-01-01", date(2026, 1, 1), is_open=True)
    assert planned(january, today=date(2026, 3, 10)) == ""
    closed = Made("2026-01-01", date(2026, 1, 1), is_open=False)
    assert planned(closed, today=date(2026, 3, 10)) == "2026-03-01"


def test_a_turn_that_begins_by_the_day_a_late_visit_ended_was_done_with_it() -> None:
    for ended, expected in [
        (date(2026, 1, 31), "2026-02-01"),
        (date(2026, 2, 1), "2026-03-01"),
        (date(2026, 2, 2), "2026-03-01"),
    ]:
        january = Made("2026-01-01", date(2026, 1, 1), is_open=False, ended_on=ended)
        assert planned(january, today=date(2026, 2, 3)) == expected


def test_a_season_whose_day_was_moved_is_not_due_twice_in_its_year() -> None:
    moved = [Turn(date(2026, 3, 20), date(2026, 4, 3), "2026")]
    done = Made("2026", date(2026, 3, 1), is_open=False, ended_on=date(2026, 3, 5))
    assert turn_to_plan(moved, [done], today=date(2026, 3, 20), until=date(2026, 3, 20)) is None
    other = Made("2025", date(2025, 3, 1), is_open=False, ended_on=date(2025, 3, 5))
    assert turn_to_plan(moved, [other], today=date(2026, 3, 20), until=date(2026, 3, 20))


@given(st.lists(st.integers(0, 45), min_size=1, max_size=40), st.integers(1, 60))
def test_whoever_comes_when_no_turn_is_planned_twice(waits: list[int], lasts: int) -> None:
    """Any rhythm of looking, any length of visits: each turn at most once, in order."""
    made: list[Made] = []
    today = date(2026, 1, 1)
    for wait in waits:
        today += timedelta(days=wait)
        made = [
            Made(m.name, m.begins_on, is_open=False, ended_on=m.begins_on + timedelta(days=lasts))
            if m.is_open and m.begins_on + timedelta(days=lasts) <= today
            else m
            for m in made
        ]
        turn = turn_to_plan(monthly(), made, today=today, until=today + timedelta(days=28))
        if turn is not None:
            made.append(Made(turn.name, turn.begins_on, is_open=True))
    names = [m.name for m in made]
    assert len(set(names)) == len(names)
    assert [m.begins_on for m in made] == sorted(m.begins_on for m in made)
