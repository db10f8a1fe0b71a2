"""What holds for every station: identities over random schedules, facts, outages and days."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sites.stopgaps.engines.spells import Interval
from sites.water.engines.inputs import Facts, Off, StandsIn, Station
from sites.water.engines.months import Month, months, next_month
from sites.water.engines.schedules import EveryDays, Schedule, Weekdays
from tests.engines.water.cases import ALWAYS, Table

FIRST, LAST = date(2024, 1, 1), date(2026, 6, 1)
LATER = date(2027, 1, 1)

days = st.dates(FIRST, LAST)
patterns = st.one_of(
    st.builds(Weekdays, st.frozensets(st.integers(0, 6), min_size=1)),
    st.builds(EveryDays, st.integers(1, 9)),
)


@st.composite
def intervals(draw: st.DrawFn, *, open_end: bool = True) -> Interval:
    """Draw half-open days, some without an end."""
    start, end = sorted((draw(days), draw(days)))
    return Interval(start, None if open_end and draw(st.booleans()) else end)


schedules = st.builds(
    Schedule, intervals(), patterns, st.integers(1, 4), st.floats(0, 60), st.booleans()
)
facts = st.builds(
    Facts,
    st.just(ALWAYS),
    st.floats(1, 1e5),
    st.one_of(st.none(), st.floats(0, 100)),
    st.floats(0.1, 3),
    st.floats(0, 1.2),
    st.floats(0.2, 1),
)
tables = st.builds(
    Table,
    st.lists(st.floats(0, 12), min_size=12, max_size=12),
    st.dictionaries(st.integers(1, 12), st.floats(0, 8)),
)


@st.composite
def stations(draw: st.DrawFn) -> Station:
    """Draw a station of which all is known."""
    edges = sorted(draw(st.lists(days, min_size=2, max_size=6, unique=True)))
    off = tuple(
        Off(Interval(start, end), draw(st.sampled_from(list(StandsIn))))
        for start, end in zip(edges[::2], edges[1::2], strict=False)
    )
    holds = Schedule(ALWAYS, Weekdays(frozenset({0})), 1, draw(st.floats(0, 90)))
    return Station(
        off=off,
        schedules=(holds, *draw(st.lists(schedules, max_size=3))),
        facts=(draw(facts),),
        outages=tuple(draw(st.lists(intervals(), max_size=2))),
        season=draw(st.sampled_from([None, ((3, 1), (11, 15)), ((10, 1), (4, 1))])),
    )


def total(found: Sequence[Month], name: str) -> float:
    """Return a sum; none of the months may be unknown."""
    values = [getattr(month, name) for month in found]
    assert None not in values
    return sum(values)


def close(expected: float) -> object:
    """Compare gallons up to the last digits that floats keep."""
    return pytest.approx(expected, rel=1e-9, abs=1e-6)


@given(stations(), tables)
def test_excess_less_shortfall_is_applied_less_needed(station: Station, table: Table) -> None:
    for month in months(station, table, until=LATER):
        assert month.excess_gal is not None
        assert month.shortfall_gal is not None
        assert month.applied_gal is not None
        assert month.needed_gal is not None
        assert month.excess_gal >= 0
        assert month.shortfall_gal >= 0
        assert month.excess_gal * month.shortfall_gal == 0
        assert month.excess_gal - month.shortfall_gal == close(month.applied_gal - month.needed_gal)


def split(station: Station, at: date) -> tuple[Station, Station]:
    """Return the station with its days before `at`, and with those from it on."""
    before, after = [], []
    for off in station.off:
        end = off.days.to_on or LATER
        if off.days.from_on < at:
            before.append(replace(off, days=Interval(off.days.from_on, min(end, at))))
        if end > at:
            after.append(replace(off, days=Interval(max(off.days.from_on, at), end)))
    return replace(station, off=tuple(before)), replace(station, off=tuple(after))


@given(stations(), tables, days)
def test_splitting_at_a_months_first_day_changes_nothing(
    station: Station, table: Table, day: date
) -> None:
    whole = months(station, table, until=LATER)
    parts = [
        month
        for part in split(station, next_month(day))
        for month in months(part, table, until=LATER)
    ]
    assert [month.month for month in parts] == [month.month for month in whole]
    for name in ("days", "applied_gal", "needed_gal", "excess_gal", "shortfall_gal"):
        assert total(parts, name) == close(total(whole, name))


@given(stations(), tables, days)
def test_splitting_within_a_month_without_pooling_can_only_raise_excess(
    station: Station, table: Table, day: date
) -> None:
    whole = total(months(station, table, until=LATER), "excess_gal")
    apart = sum(
        total(months(part, table, until=LATER), "excess_gal") for part in split(station, day)
    )
    assert apart >= whole - 1e-6 - 1e-9 * whole


@given(stations(), tables, st.integers(1, 12), st.floats(0, 6))
def test_more_rain_never_lowers_excess(
    station: Station, table: Table, month: int, more_in: float
) -> None:
    wetter = replace(
        table, rain_in={**table.rain_in, month: table.rain_in.get(month, 0.0) + more_in}
    )
    dry = total(months(station, table, until=LATER), "excess_gal")
    assert total(months(station, wetter, until=LATER), "excess_gal") >= dry - 1e-6 - 1e-9 * dry


@given(stations(), tables, days)
def test_no_length_is_nothing(station: Station, table: Table, day: date) -> None:
    nowhere = replace(station, off=(Off(Interval(day, day)),))
    assert months(nowhere, table, until=LATER) == []


@given(stations(), tables, intervals(open_end=False))
def test_an_outage_lowers_what_was_applied_and_nothing_else(
    station: Station, table: Table, outage: Interval
) -> None:
    dead = replace(station, outages=(*station.outages, outage))
    ran, stood = (months(each, table, until=LATER) for each in (station, dead))
    assert total(stood, "applied_gal") <= total(ran, "applied_gal") + 1e-6
    assert total(stood, "needed_gal") == close(total(ran, "needed_gal"))
    assert total(stood, "shortfall_gal") >= total(ran, "shortfall_gal") - 1e-6


@given(patterns, days, days, days)
def test_runs_are_counted_as_if_day_by_day(
    pattern: Weekdays | EveryDays, anchor: date, one: date, other: date
) -> None:
    start, end = sorted((one, other))
    assume((end - start).days < 800)
    start = max(start, anchor)
    expected = 0
    for n in range(max(0, (end - start).days)):
        day = start + timedelta(days=n)
        if isinstance(pattern, Weekdays):
            expected += day.weekday() in pattern.days
        else:
            expected += (day - anchor).days % pattern.every == 0
    assert pattern.count(start, end, anchor) == expected


@given(stations(), tables)
def test_what_was_applied_is_the_sum_of_single_days(station: Station, table: Table) -> None:
    """A slow, independent implementation: each day by itself."""
    (known,) = station.facts
    expected = 0.0
    for off in station.off:
        for n in range(((off.days.to_on or LATER) - off.days.from_on).days):
            day = off.days.from_on + timedelta(days=n)
            if off.stands_in is StandsIn.SHUT or any(each.holds(day) for each in station.outages):
                continue
            if station.season is not None:
                (a, b), here = station.season, (day.month, day.day)
                if not (a <= here < b if a <= b else here >= a or here < b):
                    continue
            for each in station.schedules:
                if not each.days.holds(day):
                    continue
                if each.is_by_clock and off.stands_in is not StandsIn.CLOCK:
                    continue
                if each.pattern.count(day, day + timedelta(days=1), each.days.from_on):  # type: ignore[union-attr]
                    expected += each.starts * each.minutes * (known.flow or 0.0)
    assert total(months(station, table, until=LATER), "applied_gal") == close(expected)
