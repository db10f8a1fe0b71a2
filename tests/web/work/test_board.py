"""The board: crews by days, what each job lacks and clashes with, and the forms that move it."""

from datetime import date, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from faults.models import Crew, Job
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import stamp_of
from sites.models import User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_jobs, make_notices
from tests.cast import Cast, Corner
from tests.web.pages import Sheet, open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

# make.TODAY is a Sunday: the board begins with the day after it.
MONDAY = date(2025, 6, 16)


@pytest.fixture
def dispatcher() -> User:
    """Who plans everything."""
    return make.user(Role.DISPATCHER)


@pytest.fixture
def crew() -> Crew:
    """Crew North, from 7 to 16 o'clock, with a member of skill 3."""
    return make_jobs.crew(make.user(Role.TECHNICIAN), name="North")


def board(user: User, day: date = MONDAY, **more: str) -> Sheet:
    """Open the week of a day."""
    query = "&".join(f"{name}={value}" for name, value in {"day": str(day), **more}.items())
    return open_page(user, f"/moves/board/?{query}")


def card(page: Sheet, job: Job) -> str:
    """Return the words of a job's card."""
    found = [
        each for each in page.tree.find("article") if each.attributes["id"] == f"job-{job.ref}"
    ]
    return found[0].words


def clash_list(page: Sheet) -> str:
    """Return the words of the list of all clashes."""
    (found,) = [each for each in page.tree.find("details") if "board-clashes" in each.classes]
    return found.words


def fault_job(**given: object) -> Job:
    """Make a locate job of a fault whose station is off central control."""
    station = make.station()
    make.stopgap(station=station)
    rebuild_spells([station.pk])
    return make_jobs.job(fault=make.fault(station), **given)


def move(user: User, job: Job, **fields: str) -> Sheet:
    """Send the form that moves a job, as it would be sent from the page just opened."""
    stamp = fields.pop("stamp", stamp_of([job]))
    usual = {"crew": "", "day": "", "starts_at": "", "why": "", "stamp": stamp}
    return send(user, f"/jobs/{job.ref}/board/move/?day={MONDAY}&view=week", **{**usual, **fields})


def test_a_job_stands_with_its_crew_on_its_day(dispatcher: User, crew: Crew) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY, starts_at=time(8, 30), expected_minutes=90)
    page = board(dispatcher)
    assert "08:30–10:00, 90 min" in card(page, job)
    assert "1.5 of 9 h" in page.words
    assert "Every job has a crew and a day." in page.words


def test_the_tray_holds_what_nobody_has_and_what_was_left_over(
    dispatcher: User, crew: Crew
) -> None:
    make_jobs.job()
    make_jobs.job(crew=crew, day=date(2025, 6, 3))
    page = board(dispatcher)
    assert "In the tray: 2 jobs without crew or day" in page.words
    assert "Its day is over and nobody has started. Move it." in clash_list(page)


def test_a_job_from_the_tray_is_assigned_and_its_fault_scheduled(
    dispatcher: User, crew: Crew
) -> None:
    job = fault_job()
    page = move(dispatcher, job, crew=crew.ref, day=str(MONDAY), starts_at="08:00")
    (said,) = page.messages
    assert said.startswith(f"{job}: North, 2025-06-16 at 08:00. To do before: The property's soil")
    assert all("ask the client for a limit." in words for words in (said, card(page, job)))
    job.refresh_from_db()
    assert (job.crew, job.day, job.starts_at) == (crew, MONDAY, time(8))
    assert job.fault is not None
    job.fault.refresh_from_db()
    assert job.fault.stage == "scheduled"


def test_nothing_is_said_to_be_open_where_a_job_is_ready(dispatcher: User, crew: Crew) -> None:
    place = make.place(soil="loam")
    job = make_notices.job(property=place, day=MONDAY, soaked_on=make.TODAY)
    make.authority(property=place)
    page = move(dispatcher, job, crew=crew.ref, day=str(MONDAY))
    assert page.messages == [f"{job}: North, 2025-06-16."]
    assert "ready" in card(page, job)


@pytest.mark.parametrize(("days", "shown"), [(6, 0), (7, 7)])
def test_the_board_opens_at_the_moved_card_also_in_another_week(
    dispatcher: User, crew: Crew, days: int, shown: int
) -> None:
    # Common practice, no source: a week holds a day and the six after it.
    job, day = make_jobs.job(), MONDAY + timedelta(days=days)
    fields = {"crew": crew.ref, "day": str(day), "stamp": stamp_of([job])}
    url = f"/jobs/{job.ref}/board/move/?day={MONDAY}&view=week&crew={crew.ref}"
    answer = signed_in(dispatcher).post(url, fields)
    back = f"?day={MONDAY + timedelta(days=shown)}&view=week&crew={crew.ref}#job-{job.ref}"
    assert answer["Location"].endswith(back)


def test_a_job_is_moved_to_another_crew_and_back_into_the_tray(
    dispatcher: User, crew: Crew
) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY)
    south = make_jobs.crew(make.user(Role.TECHNICIAN), name="South")
    move(dispatcher, job, crew=south.ref, day=str(MONDAY + timedelta(days=1)))
    job.refresh_from_db()
    assert (job.crew, job.day) == (south, MONDAY + timedelta(days=1))
    assert "Say in a few words why." in move(dispatcher, job).errors
    page = move(dispatcher, job, why="crew is ill")
    assert page.messages == [f"{job} lies in the tray."]
    job.refresh_from_db()
    assert job.crew is None


def test_a_crew_without_a_day_is_refused_and_what_was_typed_stays(
    dispatcher: User, crew: Crew
) -> None:
    page = move(dispatcher, make_jobs.job(), crew=crew.ref, starts_at="09:15", why="urgent")
    assert page.status == 422
    assert "On which day does the crew go?" in page.errors
    assert (page.value("starts_at"), page.value("why")) == ("09:15", "urgent")


def test_a_locked_job_is_not_moved(dispatcher: User, crew: Crew) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY, is_locked=True)
    assert move(dispatcher, job, crew=crew.ref, day=str(MONDAY + timedelta(days=1))).status == 422
    job.refresh_from_db()
    assert job.day == MONDAY
    assert "locked" in card(board(dispatcher), job)
    assert "Move to…" not in card(board(dispatcher), job)


def test_lock_and_unlock(dispatcher: User, crew: Crew) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY)
    page = send(dispatcher, f"/jobs/{job.ref}/board/lock/", stamp=stamp_of([job]))
    assert page.messages == [f"{job} is locked to its day."]
    job.refresh_from_db()
    assert job.is_locked
    send(dispatcher, f"/jobs/{job.ref}/board/unlock/", stamp=stamp_of([job]))
    job.refresh_from_db()
    assert not job.is_locked


def test_split_leaves_the_sum(dispatcher: User, crew: Crew) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY, expected_minutes=300)
    url = f"/jobs/{job.ref}/board/split/"
    assert send(dispatcher, url, minutes="300", stamp="").status == 422
    page = send(dispatcher, url, minutes="120", day="", stamp=stamp_of([job]))
    assert page.messages == [f"{job}: 180 min stay, 120 min are a part of their own."]
    assert sorted(Job.objects.values_list("expected_minutes", flat=True)) == [120, 180]


def test_the_second_of_two_is_told_who_changed_what_and_loses_no_word(
    dispatcher: User, crew: Crew
) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY)
    opened = stamp_of([job])
    move(dispatcher, job, crew=crew.ref, day=str(MONDAY + timedelta(days=1)))
    other = make.user(Role.DISPATCHER)
    page = move(
        other, job, crew=crew.ref, day=str(MONDAY + timedelta(days=2)), why="swap", stamp=opened
    )
    assert page.status == 422
    assert "Somebody changed this while your form was open." in page.words
    assert "2025-06-16 → 2025-06-17" in page.words
    assert (page.value("day"), page.value("why")) == ("2025-06-18", "swap")


def test_clashes_stand_on_the_card_and_beside_the_board(dispatcher: User, crew: Crew) -> None:
    first = make_jobs.job(crew=crew, day=MONDAY, starts_at=time(8), expected_minutes=120)
    second = make_jobs.job(crew=crew, day=MONDAY, starts_at=time(9), expected_minutes=60)
    page = board(dispatcher)
    assert f"It overlaps with {first}. Move one of the two." in card(page, second)
    assert f"It overlaps with {second}. Move one of the two." in clash_list(page)


def test_a_blackout_closed_hours_and_a_crew_away_are_told(dispatcher: User, crew: Crew) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY, starts_at=time(8))
    job.property.blackouts.create(from_on=MONDAY, to_on=MONDAY + timedelta(days=1), why="wedding")
    crew.away.create(from_on=MONDAY, to_on=MONDAY + timedelta(days=1), why="training")
    there = make_jobs.job(crew=crew, day=MONDAY + timedelta(days=1), starts_at=time(8))
    there.property.access_hours.create(weekday=1, opens_at=time(9), closes_at=time(12))
    page = board(dispatcher)
    assert "Nobody may work at the property that day: wedding." in card(page, job)
    assert "North is away on that day: training. Move the job." in card(page, job)
    assert "The property cannot be entered then." in card(page, there)


def test_a_far_drive_is_told_only_where_both_places_are_known(dispatcher: User, crew: Crew) -> None:
    near = make.place(latitude=33.45, longitude=-112.07)
    far = make.place(latitude=33.90, longitude=-112.07)
    make_jobs.job(property=near, crew=crew, day=MONDAY, starts_at=time(8))
    second = make_jobs.job(property=far, crew=crew, day=MONDAY, starts_at=time(9, 10))
    nowhere = make_jobs.job(crew=crew, day=MONDAY, starts_at=time(11))
    page = board(dispatcher)
    assert "The drive from locate" in card(page, second)
    assert "drive" not in card(page, nowhere)


def test_says_what_a_job_lacks(dispatcher: User, crew: Crew) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY, parts_needed="10 splices", parts_ready=False)
    said = card(board(dispatcher), job)
    assert "to do before: Soil, The client's yes, Parts" in said
    assert "Put on the vehicle: 10 splices" in said
    job.parts_ready = True
    job.save()
    assert "Parts" not in card(board(dispatcher), job)


def test_one_day_and_one_crew(dispatcher: User, crew: Crew) -> None:
    make_jobs.crew(name="South")
    page = board(dispatcher, view="day", crew=crew.ref)
    assert page.heading == "Crews on Monday 2025-06-16"
    assert len(page.tree.find("td")) == 1
    assert "South" not in page.panel("tray") + " ".join(str(row) for row in page.rows())


@pytest.mark.parametrize("day", ["", "2025-13-45", "soon", "0001-01-01", "9999-12-31"])
def test_a_day_that_is_none_shows_seven_days_from_today(
    dispatcher: User, crew: Crew, day: str
) -> None:
    jobs = {n: make_jobs.job(crew=crew, day=make.TODAY + timedelta(days=n)) for n in (-1, 0, 6, 7)}
    page = open_page(dispatcher, f"/moves/board/?day={day}")
    assert page.heading == "Crews in the week from 2025-06-15"
    shown = {each.attributes["id"] for each in page.tree.find("article")}
    # What stayed open before today waits in the tray.
    assert [n for n, job in jobs.items() if f"job-{job.ref}" in shown] == [-1, 0, 6]


def test_a_technician_sees_the_board_and_moves_nothing(cast: Cast, crew: Crew) -> None:
    job = make_jobs.job(crew=crew, day=MONDAY)
    page = board(cast.technician)
    assert "Move to…" not in card(page, job)
    for name in ("board_move", "board_split", "board_lock", "board_unlock"):
        assert open_page(cast.technician, reverse(f"faults:{name}", args=[job.ref])).status == 403


def test_whoever_plans_for_one_client_sees_no_word_of_another(
    cast: Cast, ours: Corner, theirs: Corner, crew: Crew
) -> None:
    limited = make.user(Role.DISPATCHER, client=ours.property.client)
    make_jobs.job(property=theirs.property, crew=crew, day=MONDAY, expected_minutes=200)
    mine = make_jobs.job(property=ours.property, crew=crew, day=MONDAY)
    page = board(limited)
    assert "wombat" not in page.html
    assert "marigold" in card(page, mine)
    assert "4.33 of 9 h" in page.words


def _asked(user: User) -> int:
    browser = signed_in(user)
    with CaptureQueriesContext(connection) as asked:
        assert browser.get(f"/moves/board/?day={MONDAY}").status_code == 200
    return len(asked)


def test_asks_as_often_for_thirty_jobs_as_for_three(dispatcher: User) -> None:
    def plan(count: int) -> None:
        for number in range(count):
            crew = make_jobs.crew(make.user(Role.TECHNICIAN))
            place = make.place(latitude=33.0, longitude=-112.0)
            place.access_hours.create(weekday=0, opens_at=time(9), closes_at=time(12))
            make_jobs.job(property=place, crew=crew, day=MONDAY, starts_at=time(8))
            make_jobs.job(
                kind="dig and mend", fault=make.fault(), crew=crew, day=MONDAY, starts_at=time(8)
            )
            fault_job(priority=1 + number % 4)

    plan(3)
    few = _asked(dispatcher)
    plan(7)
    assert (few, _asked(dispatcher)) == (few, few)
    assert few <= 29  # the last of them: locates that come before digs
