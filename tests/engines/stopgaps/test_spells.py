"""Days off central control, held against a count of single days."""

import itertools
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.stopgaps.engines.spells import (
    PRECEDENCE,
    Claim,
    Interval,
    Part,
    Reason,
    Spell,
    days_in,
    periods_off,
    spells,
    watering_days_in,
)

HORIZON = 40
ORIGIN = date(2025, 1, 1)


def day(number: int) -> date:
    """Return the n-th day of the tests' calendar."""
    return ORIGIN + timedelta(days=number)


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    """Draw days inside the horizon, sometimes of no length, sometimes without an end."""
    start = draw(st.integers(0, HORIZON - 1))
    end = draw(st.none() | st.integers(start, HORIZON))
    return Interval(day(start), None if end is None else day(end))


claims = st.lists(
    st.builds(
        Claim,
        days=intervals(),
        reason=st.sampled_from(Reason),
        source=st.none() | st.integers(1, 5),
        is_exact=st.booleans(),
    ),
    max_size=8,
)
outsides = st.lists(intervals(), max_size=3)


def day_by_day(claimed: list[Claim], outside: list[Interval]) -> dict[date, Reason]:
    """Return the reason of each day, one day at a time: slow, and plainly right."""
    reasons = {}
    for number in range(HORIZON + 1):
        here = [claim.reason for claim in claimed if claim.days.holds(day(number))]
        if here and not any(days.holds(day(number)) for days in outside):
            reasons[day(number)] = min(here, key=PRECEDENCE.__getitem__)
    return reasons


def laid_out(parts: list[Part]) -> dict[date, list[Reason]]:
    """Return the reasons that parts give to each day of the horizon."""
    days = [day(number) for number in range(HORIZON + 1)]
    told = {each: [part.reason for part in parts if part.days.holds(each)] for each in days}
    return {each: reasons for each, reasons in told.items() if reasons}


@given(claims, outsides)
def test_each_day_has_the_one_reason_that_a_count_of_days_gives(
    claimed: list[Claim], outside: list[Interval]
) -> None:
    told = laid_out(periods_off(claimed, outside))
    assert told == {each: [reason] for each, reason in day_by_day(claimed, outside).items()}


@given(claims, outsides)
def test_parts_come_in_order_and_never_overlap(
    claimed: list[Claim], outside: list[Interval]
) -> None:
    parts = periods_off(claimed, outside)
    for left, right in itertools.pairwise(parts):
        assert left.days.to_on is not None
        assert left.days.to_on <= right.days.from_on


@given(claims, outsides)
def test_parts_last_at_least_a_day_and_neighbours_differ(
    claimed: list[Claim], outside: list[Interval]
) -> None:
    parts = periods_off(claimed, outside)
    assert all(part.days.to_on is None or part.days.to_on > part.days.from_on for part in parts)
    for left, right in itertools.pairwise(parts):
        touching = left.days.to_on == right.days.from_on
        assert not touching or (left.reason, left.source) != (right.reason, right.source)


@given(claims, outsides)
def test_the_source_of_a_part_is_a_claim_that_holds_there_with_that_reason(
    claimed: list[Claim], outside: list[Interval]
) -> None:
    for part in periods_off(claimed, outside):
        holders = [claim for claim in claimed if claim.days.holds(part.days.from_on)]
        assert (part.reason, part.source) in {(each.reason, each.source) for each in holders}


@given(claims, outsides, st.randoms(use_true_random=False))
def test_the_order_of_claims_does_not_matter(
    claimed: list[Claim], outside: list[Interval], shuffler: object
) -> None:
    mixed = list(claimed)
    shuffler.shuffle(mixed)  # type: ignore[attr-defined]
    assert laid_out(periods_off(mixed, outside)) == laid_out(periods_off(claimed, outside))


@given(claims, outsides)
def test_spells_join_what_touches_and_nothing_else(
    claimed: list[Claim], outside: list[Interval]
) -> None:
    parts = periods_off(claimed, outside)
    joined = spells(parts)
    assert [part for spell in joined for part in spell.parts] == parts
    for left, right in itertools.pairwise(joined):
        assert left.days.to_on is not None
        assert left.days.to_on < right.days.from_on
    for spell in joined:
        assert spell.days == Interval(spell.parts[0].days.from_on, spell.parts[-1].days.to_on)


@given(claims, outsides)
def test_every_first_day_of_a_part_is_known_unless_its_claim_began_there_unknown(
    claimed: list[Claim], outside: list[Interval]
) -> None:
    for part in periods_off(claimed, outside):
        unsure = [claim for claim in claimed if not claim.is_exact]
        starts = {claim.days.from_on for claim in unsure}
        assert part.is_exact or part.days.from_on in starts


def test_claims_of_no_length_are_visits_and_take_nothing_off_central() -> None:
    assert periods_off([Claim(Interval(day(3), day(3)), Reason.WIRE)]) == []


def test_touching_stopgaps_are_one_spell_of_two_parts() -> None:
    first = Claim(Interval(day(0), day(5)), Reason.WIRE, source=1)
    second = Claim(Interval(day(5), day(9)), Reason.WIRE, source=2)
    (spell,) = spells(periods_off([first, second]))
    assert (spell.days, len(spell.parts)) == (Interval(day(0), day(9)), 2)


def test_a_day_between_two_stopgaps_makes_two_spells() -> None:
    first = Claim(Interval(day(0), day(5)), Reason.WIRE)
    second = Claim(Interval(day(6), None), Reason.WIRE)
    assert len(spells(periods_off([first, second]))) == 2


def test_the_wire_comes_before_a_lost_link_that_spans_it() -> None:
    link = Claim(Interval(day(0), day(10)), Reason.LINK_LOST)
    wire = Claim(Interval(day(3), day(5)), Reason.WIRE, source=7)
    parts = periods_off([link, wire])
    assert [part.reason for part in parts] == [Reason.LINK_LOST, Reason.WIRE, Reason.LINK_LOST]


def test_a_day_of_doubt_stays_in_doubt_only_where_the_spell_begins_on_it() -> None:
    doubt = Claim(Interval(day(2), day(9)), Reason.WIRE, is_exact=False)
    assert not spells(periods_off([doubt]))[0].is_exact
    cut = periods_off([doubt], outside=[Interval(day(0), day(4))])
    assert spells(cut)[0].is_exact


def test_an_end_before_the_start_is_refused_in_words() -> None:
    with pytest.raises(ValueError, match="Expected to_on >= from_on, got 2025-01-05 to 2025-01-01"):
        Interval(day(4), day(0))


@given(intervals(), st.integers(0, HORIZON))
def test_days_are_counted_up_to_and_without_the_last(days: Interval, until: int) -> None:
    held = sum(days.holds(day(number)) for number in range(until))
    assert days_in(days, until=day(until)) == held


SEASONS = st.tuples(st.integers(1, 12), st.integers(1, 28))


@given(intervals(), st.integers(0, HORIZON), SEASONS, SEASONS)
def test_watering_days_are_those_inside_the_season(
    days: Interval, until: int, start: tuple[int, int], stop: tuple[int, int]
) -> None:
    def waters(each: date) -> bool:
        here = (each.month, each.day)
        if start <= stop:
            return start <= here < stop
        return here >= start or here < stop

    held = [day(number) for number in range(until) if days.holds(day(number))]
    assert watering_days_in(days, until=day(until), season=(start, stop)) == sum(map(waters, held))


@given(intervals(), st.integers(0, HORIZON))
def test_without_a_season_every_day_waters(days: Interval, until: int) -> None:
    assert watering_days_in(days, until=day(until), season=None) == days_in(days, until=day(until))


def test_a_season_across_the_new_year_counts_both_sides() -> None:
    days = Interval(date(2024, 12, 1), date(2025, 3, 1))
    season = ((12, 15), (2, 1))
    assert watering_days_in(days, until=date(2025, 3, 1), season=season) == 17 + 31


def test_a_spell_says_whether_its_first_day_is_known() -> None:
    part = Part(Interval(day(0)), Reason.WIRE, None, is_exact=False)
    assert not Spell(Interval(day(0)), (part,)).is_exact
