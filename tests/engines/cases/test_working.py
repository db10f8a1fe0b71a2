"""When a crew works: weekdays, hours, breaks, holidays, and who of it is there."""

from datetime import date

import pytest

from faults.cases.engines.working import (
    Hours,
    Off,
    Person,
    WorkingDay,
    end_of,
    on_working_clock,
    start_by_day,
    working_day,
)

MONDAY, SATURDAY = date(2026, 11, 30), date(2026, 12, 5)
USUAL = Hours(420, 930)
WEEK = dict.fromkeys(range(5))
LUNCH = (720, 750)


def person(skill: int = 2, name: str = "Ann", **given: object) -> Person:
    """Make a person who works with the crew."""
    told = {"name": name, "skill": skill, "week": {}, **given}
    return Person(**told)  # type: ignore[arg-type]


def on(day: date = MONDAY, **given: object) -> WorkingDay:
    """Return the day of a crew that works from Monday to Friday."""
    told = {"usual": USUAL, "week": WEEK, "people": [person()], **given}
    return working_day(day, **told)  # type: ignore[arg-type]


def test_hours_end_after_they_begin() -> None:
    with pytest.raises(ValueError, match="after 420"):
        Hours(420, 420)
    assert Hours(420, 421).end == 421


@pytest.mark.parametrize(("day", "off"), [(date(2026, 12, 4), None), (SATURDAY, Off.WEEKDAY)])
def test_a_crew_works_on_its_weekdays(day: date, off: Off | None) -> None:
    found = on(day)
    assert (found.off, found.is_worked) == (off, off is None)
    assert found.minutes == (510 if off is None else 0)


def test_a_crew_of_which_nothing_was_said_works_on_every_day() -> None:
    assert on(SATURDAY, week={}).is_worked


def test_a_weekday_may_have_hours_of_its_own() -> None:
    week = {**WEEK, 0: Hours(480, 720)}
    assert (on(week=week).start, on(week=week).end, on(week=week).minutes) == (480, 720, 240)


def test_the_gravest_reason_for_a_day_off_is_named() -> None:
    assert on(SATURDAY, away="", holiday="Fair").off is Off.AWAY
    found = on(SATURDAY, holiday="Fair")
    assert (found.off, found.why, found.minutes) == (Off.HOLIDAY, "Fair", 0)


def test_a_break_shortens_the_day_and_lengthens_what_runs_into_it() -> None:
    found = on(pause=LUNCH)
    assert found.minutes == 480
    assert found.end_of(660, 60) == 720
    assert found.end_of(660, 61) == 751
    assert found.end_of(750, 60) == 810


@pytest.mark.parametrize(
    ("start", "end", "works"),
    [
        (719, 751, (719, 751)),
        (720, 930, (750, 930)),
        (749, 930, (750, 930)),
        (750, 930, (750, 930)),
        (420, 750, (420, 720)),
        (420, 721, (420, 720)),
        (420, 720, (420, 720)),
        (420, 751, (420, 751)),
    ],
)
def test_a_day_that_begins_or_ends_in_its_break_is_worked_beside_it(
    start: int, end: int, works: tuple[int, int]
) -> None:
    found = on(pause=LUNCH, week={0: Hours(start, end)})
    assert (found.start, found.end) == works
    is_inside = works[0] < LUNCH[0] and works[1] > LUNCH[1]
    assert found.rests == ((LUNCH,) if is_inside else ())
    assert found.minutes == works[1] - works[0] - (30 if is_inside else 0)
    assert not found.holds(LUNCH[0], 1)
    assert not found.holds(LUNCH[1] - 1, 1)


def test_who_is_there_for_the_break_alone_does_not_work() -> None:
    found = on(pause=LUNCH, people=[person(week={0: Hours(720, 750)})])
    assert (found.is_worked, found.people, found.absent) == (False, 0, ("Ann",))
    # A minute before it is a minute of work.
    found = on(pause=LUNCH, people=[person(week={0: Hours(719, 750)})])
    assert (found.start, found.end, found.people) == (719, 720, 1)


@pytest.mark.parametrize(
    ("start", "minutes", "holds"),
    [
        (419, 60, False),
        (420, 60, True),
        (719, 60, True),
        (720, 60, False),
        (749, 60, False),
        (750, 60, True),
        (870, 60, True),
        (871, 60, False),
        (420, 480, True),
        (420, 481, False),
    ],
)
def test_work_starts_and_ends_in_the_hours_and_never_starts_in_the_break(
    start: int, minutes: int, holds: bool
) -> None:
    assert on(pause=LUNCH).holds(start, minutes) is holds


def test_nothing_holds_on_a_day_off() -> None:
    assert not on(SATURDAY).holds(480, 60)


def test_who_is_away_takes_the_skill_along() -> None:
    ill = person(3, "Bo", is_away=True)
    found = on(people=[person(1), ill])
    assert (found.skill, found.people, found.absent) == (1, 1, ("Bo",))
    alone = on(people=[ill])
    assert (alone.skill, alone.people, alone.is_worked, alone.off) == (0, 0, False, None)


def test_a_person_has_weekdays_and_hours_of_its_own() -> None:
    part = person(3, "Bo", week={1: None})
    assert on(people=[person(1), part]).absent == ("Bo",)
    assert on(date(2026, 12, 1), people=[person(1), part]).skill == 3
    late = person(3, "Bo", week={0: Hours(540, 1080)})
    assert (on(people=[late]).start, on(people=[late]).end) == (540, 930)
    both = on(people=[person(1), late])
    assert (both.start, both.end, both.people) == (420, 930, 2)
    early = person(1, "Cy", week={0: Hours(300, 480)})
    assert (on(people=[early, late]).start, on(people=[early, late]).end) == (420, 930)


def test_hours_that_have_nothing_in_common_leave_nobody() -> None:
    night = person(3, "Bo", week={0: Hours(930, 1080)})
    found = on(people=[night])
    assert (found.people, found.skill, found.start, found.end) == (0, 0, 420, 930)
    assert found.absent == ("Bo",)


def test_work_without_a_break_ends_by_its_minutes() -> None:
    assert end_of(420, 60, ()) == 480
    assert end_of(730, 60, (LUNCH,)) == 790


def test_the_working_clock_stands_still_in_the_break_and_comes_back() -> None:
    clock = [on_working_clock(minute, (LUNCH,)) for minute in (719, 720, 735, 750, 751)]
    assert clock == [719, 720, 720, 720, 721]
    assert on_working_clock(735, ()) == start_by_day(735, ()) == 735
    assert [start_by_day(minute, (LUNCH,)) for minute in (719, 720, 721)] == [719, 750, 751]
    for start in (*range(420, 720), *range(750, 900)):
        assert start_by_day(on_working_clock(start, (LUNCH,)), (LUNCH,)) == start


# Breaks of people and weekdays: who eats when is common practice, no source; that the crew works as
# long as one of it does is our own choice.
def test_a_weekday_has_a_break_of_its_own() -> None:
    assert on(pause=LUNCH, pauses={0: (780, 840)}).rests == ((780, 840),)
    assert on(pause=LUNCH, pauses={1: (780, 840)}).rests == (LUNCH,)
    assert on(pauses={0: (780, 840)}).minutes == 450


@pytest.mark.parametrize(
    ("one", "other", "pause"),
    [
        ({}, {}, LUNCH),
        ({0: (780, 840)}, {0: (780, 840)}, (780, 840)),
        # What both have in common, to the minute at which nothing is.
        ({0: (700, 740)}, {}, (720, 740)),
        ({0: (690, 721)}, {}, (720, 721)),
        ({0: (690, 720)}, {}, None),
        # Of another weekday, and of two people who take turns.
        ({1: (780, 840)}, {}, LUNCH),
        ({0: (780, 840)}, {}, None),
    ],
)
def test_the_crew_has_its_break_while_nobody_of_it_works(
    one: dict[int, tuple[int, int]],
    other: dict[int, tuple[int, int]],
    pause: tuple[int, int] | None,
) -> None:
    people = [person(pauses=one), person(name="Bob", pauses=other)]
    assert on(pause=LUNCH, people=people).rests == (() if pause is None else (pause,))


def test_alone_a_person_brings_its_own_break() -> None:
    ann, bob = person(pauses={0: (780, 840)}), person(name="Bob", is_away=True)
    assert on(pause=LUNCH, people=[ann, bob]).rests == ((780, 840),)
    assert on(pause=LUNCH, people=[]).rests == (LUNCH,)


def test_nobody_is_there_between_two_who_do_not_meet() -> None:
    early, late = person(week={0: Hours(420, 700)}), person(name="Bob", week={0: Hours(800, 930)})
    found = on(people=[early, late])
    assert (found.start, found.end, found.rests, found.minutes) == (420, 930, ((700, 800),), 410)
    # One who works through is enough.
    assert on(people=[early, late, person(name="Cy")]).rests == ()


COFFEE = (570, 585)
BOTH = (COFFEE, LUNCH)


def test_two_breaks_count_for_nothing_both() -> None:
    found = on(pause=LUNCH, second=COFFEE)
    assert (found.rests, found.minutes, found.most_minutes) == (BOTH, 465, 465)
    # Begun before the first and done before it, into it, through it, and through both.
    ends = [found.end_of(480, minutes) for minutes in (90, 91, 225, 226)]
    assert ends == [570, 586, 720, 751]
    starts = (569, 570, 584, 585, 719, 720, 749, 750)
    assert [found.holds(each, 60) for each in starts] == [
        True, False, False, True, True, False, False, True,
    ]  # fmt: skip
    clock = [on_working_clock(each, BOTH) for each in (569, 570, 585, 586, 720, 750, 751)]
    assert clock == [569, 570, 570, 571, 705, 705, 706]
    for start in (*range(420, 570), *range(585, 720), *range(750, 900)):
        assert start_by_day(on_working_clock(start, BOTH), BOTH) == start


def test_a_weekday_moves_the_first_break_and_the_second_stays() -> None:
    assert on(pause=LUNCH, second=COFFEE, pauses={0: (780, 840)}).rests == (COFFEE, (780, 840))
    # Two that touch are one; the order in which they were given is no matter.
    assert on(pause=LUNCH, second=(750, 760)).rests == ((720, 760),)
    assert on(pause=LUNCH, second=(751, 760)).rests == (LUNCH, (751, 760))
    assert on(pause=COFFEE, second=LUNCH).rests == BOTH
    # A day that begins in the first begins after it.
    found = on(pause=LUNCH, second=COFFEE, week={0: Hours(575, 930)})
    assert (found.start, found.rests) == (585, (LUNCH,))
    found = on(pause=LUNCH, second=COFFEE, week={0: Hours(420, 740)})
    assert (found.end, found.rests) == (720, (COFFEE,))


def test_a_crew_of_two_rests_whenever_both_do() -> None:
    late = person(name="Bob", pauses={0: (780, 810)})
    assert on(pause=LUNCH, second=COFFEE, people=[person(), late]).rests == (COFFEE,)
    also = person(name="Bob", pauses={0: (730, 800)})
    assert on(pause=LUNCH, second=COFFEE, people=[person(), also]).rests == (COFFEE, (730, 750))
