"""What speaks against jobs where they lie: named cases, and what adding or shuffling may do."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.work.engines.clashes import Clash, ClashKind, CrewOn, JobAt, clashes
from faults.work.engines.travel import Place, travel_minutes

TODAY = date(2025, 6, 16)
YARD = Place(33.45, -112.07)
NEAR = Place(33.47, -112.07)
FAR = Place(33.90, -112.07)
CREW = CrewOn(1, TODAY, start=7 * 60, end=15 * 60, skill=2)


def job(key: int = 1, **given: object) -> JobAt:
    """Return a job of an hour at ten o'clock today."""
    base = JobAt(key, 60, crew=1, day=TODAY, start=10 * 60)
    return replace(base, **given)  # type: ignore[arg-type]


def kinds(*jobs: JobAt, crew: CrewOn = CREW) -> list[tuple[int, ClashKind]]:
    """Return (job, what) of each clash."""
    return [(one.key, one.kind) for one in clashes(jobs, [crew], today=TODAY)]


@pytest.mark.parametrize(
    ("given_job", "crew", "kind"),
    [
        (job(), replace(CREW, away="holiday"), ClashKind.AWAY),
        (job(), replace(CREW, skill=0), ClashKind.NOBODY),
        (job(skill=3), CREW, ClashKind.SKILL),
        (job(blackout="wedding"), CREW, ClashKind.BLACKOUT),
        (job(access=()), CREW, ClashKind.CLOSED),
        (job(access=((8 * 60, 10 * 60 + 59),)), CREW, ClashKind.CLOSED),
        (job(access=((8 * 60, 8 * 60 + 59),), start=None), CREW, ClashKind.CLOSED),
        (job(start=6 * 60), CREW, ClashKind.HOURS),
        (job(start=14 * 60 + 1), CREW, ClashKind.HOURS),
        (job(minutes=481, start=None), CREW, ClashKind.TOO_MUCH),
        (job(earliest=TODAY + timedelta(1)), CREW, ClashKind.EARLY),
        (job(due=TODAY - timedelta(1)), CREW, ClashKind.LATE),
        (job(crew=None, day=None, start=None, due=TODAY - timedelta(1)), CREW, ClashKind.LATE),
        (job(day=TODAY - timedelta(1)), CREW, ClashKind.PAST),
        (job(lacking=("no notice",)), CREW, ClashKind.NOT_READY),
        (job(start=7 * 60, place=NEAR), replace(CREW, yard=YARD), ClashKind.FROM_YARD),
        (job(start=14 * 60, place=NEAR), replace(CREW, yard=YARD), ClashKind.TO_YARD),
    ],
)
def test_says_what_speaks_against_one_job(given_job: JobAt, crew: CrewOn, kind: ClashKind) -> None:
    assert kinds(given_job, crew=crew) == [(1, kind)]


@pytest.mark.parametrize(
    "fine",
    [
        job(),
        job(skill=2, due=TODAY, earliest=TODAY),
        job(start=7 * 60),
        job(start=14 * 60),
        job(minutes=480, start=None),
        job(access=((10 * 60, 11 * 60),)),
        job(start=7 * 60, place=NEAR),
        job(crew=None, day=None, start=None),
        job(day=TODAY - timedelta(1), is_started=True),
    ],
)
def test_what_fits_to_the_minute_is_no_clash(fine: JobAt) -> None:
    assert kinds(fine) == []


def test_both_jobs_of_an_overlap_are_told() -> None:
    assert kinds(job(1), job(2, start=10 * 60 + 59)) == [
        (1, ClashKind.OVERLAP),
        (2, ClashKind.OVERLAP),
    ]
    assert kinds(job(1), job(2, start=11 * 60)) == []


def test_the_later_job_is_told_of_a_drive_that_is_too_long() -> None:
    pair = job(1, place=NEAR), job(2, place=FAR, start=11 * 60 + 15)
    needed = travel_minutes(NEAR, FAR)
    assert clashes(pair, [CREW], today=TODAY) == [
        Clash(2, ClashKind.DRIVE, 1, needed=needed, there=15)
    ]


def test_coordinates_that_nobody_knows_are_no_clash() -> None:
    assert kinds(job(1), job(2, place=FAR, start=11 * 60)) == []


def test_two_crews_never_clash_with_each_other() -> None:
    assert kinds(job(1), job(2, crew=2)) == []


def test_the_sum_of_a_day_is_told_on_each_of_its_jobs() -> None:
    three = [job(key, minutes=161, start=None) for key in (1, 2, 3)]
    assert kinds(*three) == [(key, ClashKind.TOO_MUCH) for key in (1, 2, 3)]


PLACES = st.none() | st.sampled_from([YARD, NEAR, FAR])
DAYS = st.none() | st.integers(-2, 3).map(lambda n: TODAY + timedelta(n))
JOBS = st.builds(
    JobAt,
    key=st.integers(1, 30),
    minutes=st.integers(1, 500),
    crew=st.none() | st.integers(1, 2),
    day=DAYS,
    start=st.none() | st.integers(300, 1000),
    skill=st.integers(1, 3),
    earliest=DAYS,
    due=DAYS,
    place=PLACES,
    access=st.none() | st.lists(st.just((420, 900)), max_size=1).map(tuple),
    blackout=st.sampled_from(["", "wedding"]),
    lacking=st.lists(st.sampled_from(["soil", "notice"]), unique=True).map(tuple),
)
CREWS = [
    CrewOn(
        crew, TODAY + timedelta(n), 420, 900, skill=crew, yard=YARD, away="x" if n == 1 else None
    )
    for crew in (1, 2)
    for n in range(-2, 4)
]
DAY_OF_JOBS = st.lists(JOBS, max_size=7, unique_by=lambda one: one.key)


@given(DAY_OF_JOBS, JOBS)
def test_a_job_that_is_added_takes_no_clash_of_another_away(jobs: list[JobAt], new: JobAt) -> None:
    before = [one for one in jobs if one.key != new.key]
    found = set(clashes(before, CREWS, today=TODAY))
    assert found <= set(clashes([*before, new], CREWS, today=TODAY))


@given(DAY_OF_JOBS, st.randoms())
def test_the_order_of_jobs_and_crews_does_not_matter(jobs: list[JobAt], chance: object) -> None:
    shuffled, crews = list(jobs), list(CREWS)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    chance.shuffle(crews)  # type: ignore[attr-defined]
    assert clashes(jobs, CREWS, today=TODAY) == clashes(shuffled, crews, today=TODAY)


@given(DAY_OF_JOBS)
def test_every_clash_is_about_a_job_that_was_given(jobs: list[JobAt]) -> None:
    keys = {one.key for one in jobs}
    for clash in clashes(jobs, CREWS, today=TODAY):
        assert clash.key in keys
        assert clash.other is None or clash.other in keys - {clash.key}


@pytest.mark.parametrize(("there", "clashing"), [(2, True), (3, False), (4, False)])
def test_a_skill_that_is_lacking_is_named_with_the_one_that_is_there(
    there: int, clashing: bool
) -> None:
    found = clashes([job(skill=3)], [replace(CREW, skill=there)], today=TODAY)
    assert [(one.needed, one.there) for one in found] == ([(3, there)] if clashing else [])


def test_a_job_without_a_start_has_no_end() -> None:
    assert job(start=None).end is None
    assert job(start=0, minutes=60).end == 60
