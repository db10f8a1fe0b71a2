"""The calendar of a user: read by two libraries and by a calendar program that is not ours."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import recurring_ical_events
from icalendar import Calendar, Event

from faults.due.services.by_hand import finish_follow_up, move_follow_up, reopen_follow_up
from faults.due.services.calendars.feed import calendar_of
from faults.models import FollowUpKind, FollowUpState, Job, JobLine, JobState
from sites.kernel.engines.roles import Role
from sites.models import Contact, User
from tests import make, make_due
from tests.services_real.khal import Khal

pytestmark = pytest.mark.django_db

# Clocks go forward in the United States on 8 March 2026.
BEFORE, AFTER = date(2026, 3, 6), date(2026, 3, 9)
NOW = datetime(2026, 3, 5, 17, tzinfo=UTC)


@pytest.fixture
def dora() -> User:
    """A dispatcher of everything."""
    return make.user(Role.DISPATCHER, username="dora")


def feed(user: User, now: datetime = NOW) -> bytes:
    """Return what is sent."""
    fresh = User.objects.get(pk=user.pk)
    return calendar_of(fresh, at=now)


def events(user: User) -> dict[str, Any]:
    """Return the events of a feed by their summary."""
    calendar = Calendar.from_ical(feed(user))
    return {str(each["SUMMARY"]): each for each in calendar.walk("VEVENT")}


def visit(**given: Any) -> Job:
    """Make a visit of two hours at 8 in Denver, with a crew."""
    place = given.pop("property", None) or make.place(code="MESA", time_zone="America/Denver")
    crew = given.pop("crew", None) or make_due.crew()
    fields = {"day": AFTER, "starts_at": time(8), **given}
    return make_due.job(property=place, crew=crew, **fields)


def test_a_visit_ends_later_by_the_break_of_its_crew_that_lies_in_it(dora: User) -> None:
    crew = make_due.crew()
    crew.break_from, crew.break_to = time(9), time(9, 45)
    crew.save()
    mesa = make.place(code="MESA", time_zone="America/Denver")

    def lasts(starts_at: time) -> timedelta:
        Job.objects.all().delete()
        visit(crew=crew, starts_at=starts_at, property=mesa)
        event = events(dora)["MESA: locate"]
        found: timedelta = event["DTEND"].dt - event["DTSTART"].dt
        return found

    assert lasts(time(8)) == timedelta(hours=2, minutes=45)
    # Over as the break begins, and begun as it ends.
    assert lasts(time(7)) == timedelta(hours=2)
    assert lasts(time(9, 45)) == timedelta(hours=2)


def test_a_visit_stands_in_the_zone_of_its_property(dora: User) -> None:
    job = visit()
    event = events(dora)["MESA: locate"]
    assert event["UID"] == f"job-{job.ref}@rejoin"
    assert event["DTSTART"].params["TZID"] == "America/Denver"
    assert event["DTSTART"].dt == datetime(2026, 3, 9, 8, tzinfo=ZoneInfo("America/Denver"))
    assert event["DTEND"].dt - event["DTSTART"].dt == timedelta(hours=2)
    assert (event["SEQUENCE"], event["STATUS"]) == (0, "CONFIRMED")


def test_every_zone_that_is_named_is_described(dora: User) -> None:
    visit()
    visit(property=make.place(code="PIER", time_zone="America/New_York"))
    calendar = Calendar.from_ical(feed(dora))
    zones = {str(zone["TZID"]): zone.to_tz() for zone in calendar.walk("VTIMEZONE")}
    assert set(zones) == {"America/Denver", "America/New_York"}
    for name, zone in zones.items():
        for day in (BEFORE, AFTER, date(2026, 7, 1), date(2026, 11, 2)):
            told, true = (
                datetime.combine(day, time(8)).replace(tzinfo=each).utcoffset()
                for each in (zone, ZoneInfo(name))
            )
            assert told == true, (name, day)


def test_eight_in_the_morning_stays_so_when_clocks_change(dora: User) -> None:
    place = make.place(code="MESA", time_zone="America/Denver")
    for n in range(4):
        visit(property=place, day=BEFORE + timedelta(days=n))
    calendar = Calendar.from_ical(feed(dora))
    found = recurring_ical_events.of(calendar).between(BEFORE, BEFORE + timedelta(days=4))
    starts = sorted(each["DTSTART"].dt for each in found)
    assert [start.hour for start in starts] == [8, 8, 8, 8]
    assert [start.astimezone(UTC).hour for start in starts] == [15, 15, 14, 14]


def test_daily_eight_in_denver_is_what_the_reader_of_repetitions_says_it_is() -> None:
    # recurring-ical-events 3.8.2: 15, 15, 14, 14 UTC from Friday 6 March 2026.
    calendar, event = Calendar(), Event()
    event.add("dtstart", datetime(2026, 3, 6, 8, tzinfo=ZoneInfo("America/Denver")))
    event.add("rrule", {"FREQ": "DAILY", "COUNT": 4})
    event.add("uid", "daily")
    calendar.add_component(event)
    found = recurring_ical_events.of(calendar).between((2026, 3, 1), (2026, 4, 1))
    assert sorted(each["DTSTART"].dt.astimezone(UTC).hour for each in found) == [14, 14, 15, 15]


def test_minutes_of_a_visit_pass_over_the_change_of_clocks(dora: User) -> None:
    visit(day=date(2026, 3, 8), starts_at=time(1), expected_minutes=120)
    event = events(dora)["MESA: locate"]
    assert (event["DTSTART"].dt.hour, event["DTEND"].dt.hour) == (1, 4)


def test_a_visit_without_an_hour_takes_the_whole_day(dora: User) -> None:
    visit(starts_at=None)
    event = events(dora)["MESA: locate"]
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (AFTER, AFTER + timedelta(days=1))


def test_what_is_due_takes_a_whole_day_and_no_time(dora: User) -> None:
    place = make.place(code="MESA", time_zone="America/Denver")
    row = make_due.follow_up(property=place, what="look again", due_on=AFTER)
    event = events(dora)["MESA: look again"]
    assert event["UID"] == f"due-{row.ref}@rejoin"
    assert (event["DTSTART"].dt, event["TRANSP"]) == (AFTER, "TRANSPARENT")


def test_what_changes_counts_up_and_what_is_off_says_so(dora: User) -> None:
    withdrawn = visit(state=JobState.WITHDRAWN, sequence=3)
    row = make_due.follow_up(property=withdrawn.property, what="look", due_on=BEFORE)
    move_follow_up(follow_up=row, to=AFTER, why="later", today=BEFORE)
    found = events(dora)
    assert (found["MESA: locate"]["SEQUENCE"], found["MESA: locate"]["STATUS"]) == (3, "CANCELLED")
    assert (found["MESA: look"]["SEQUENCE"], found["MESA: look"]["STATUS"]) == (1, "CONFIRMED")
    finish_follow_up(follow_up=row, by=dora, today=AFTER)
    assert events(dora)["MESA: look"]["STATUS"] == "CANCELLED"
    assert events(dora)["MESA: look"]["SEQUENCE"] == 2


def test_what_lapsed_is_cancelled(dora: User) -> None:
    place = make.place(code="MESA")
    make_due.follow_up(
        property=place,
        kind=FollowUpKind.SOAK,
        cause="job:1:2026-03-09",
        state=FollowUpState.LAPSED,
        due_on=AFTER,
        job=visit(property=place),
    )
    assert events(dora)["MESA: Soak the soil before the visit: locate"]["STATUS"] == "CANCELLED"


def test_lines_are_75_octets_at_most_and_end_as_the_standard_has_it(dora: User) -> None:
    place = make.place(code="Jardín de los Ñandúes", address="ü" * 90)
    visit(property=place)
    make_due.follow_up(property=place, what="Grün " * 30, due_on=AFTER)
    content = feed(dora)
    lines = content.split(b"\r\n")
    assert lines[-1] == b""
    assert max(len(line) for line in lines) <= 75
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert b"Jard\xc3\xadn" in content.replace(b"\r\n ", b"")


def test_no_price_code_or_contact_is_in_it(dora: User) -> None:
    job = visit(notes="gate code 4711", equipment="secret locator", parts_needed="gold")
    JobLine.objects.create(
        job=job, kind="time", on=AFTER, what="hours", quantity=2, unit="h", unit_price="87.31"
    )
    Contact.objects.create(property=job.property, name="Mrs Keyholder", phone="555-0100")
    job.property.notes = "gate code 4711"
    job.property.save()
    text = feed(dora).decode()
    for word in ("4711", "gate", "secret", "gold", "87.31", "174.62", "Keyholder", "555-0100"):
        assert word not in text.replace(job.ref, ""), word


def test_a_technician_reads_the_visits_of_its_own_crew_only() -> None:
    tessa = make.user(Role.TECHNICIAN)
    visit(crew=make_due.crew(tessa))
    visit(property=make.place(code="OTHER"))
    assert set(events(tessa)) == {"MESA: locate"}


def test_a_dispatcher_of_one_client_reads_nothing_of_another() -> None:
    job = visit()
    other = visit(property=make.place(code="OTHER"))
    make_due.follow_up(property=other.property, what="look", due_on=AFTER)
    near = make.user(Role.DISPATCHER, client=job.property.client)
    assert set(events(near)) == {"MESA: locate"}


def test_what_is_handed_to_somebody_else_is_in_their_calendar() -> None:
    tessa, tom = make.user(Role.TECHNICIAN), make.user(Role.TECHNICIAN)
    place = make.place(code="MESA")
    make_due.follow_up(property=place, what="look", due_on=AFTER, handed_to=tessa)
    assert (set(events(tessa)), set(events(tom))) == ({"MESA: look"}, set())


def test_a_grant_that_is_withdrawn_empties_it(dora: User) -> None:
    job = visit(crew=make_due.crew(dora))
    make_due.follow_up(property=job.property, due_on=AFTER)
    assert len(events(dora)) == 2
    dora.grants.all().delete()
    assert events(dora) == {}


@pytest.mark.service
def test_a_calendar_program_lists_the_right_days_and_hours_in_two_zones(
    dora: User, khal_in: Callable[[str], Khal]
) -> None:
    mesa = make.place(code="MESA", time_zone="America/Denver")
    visit(property=mesa, day=BEFORE)
    visit(property=mesa, day=AFTER)
    visit(property=make.place(code="PIER", time_zone="America/New_York"), day=AFTER)
    make_due.follow_up(property=mesa, what="look again", due_on=AFTER)
    for zone, hours in (
        ("America/Denver", ["08:00", "06:00", "08:00"]),
        ("America/New_York", ["10:00", "08:00", "10:00"]),
    ):
        program = khal_in(zone)
        program.read(feed(dora))
        listed = program.listed("2026-03-05", 7)
        timed = [row for row in listed if row[1]]
        assert [row[0] for row in timed] == ["2026-03-06", "2026-03-09", "2026-03-09"]
        assert [row[1] for row in timed] == hours
        assert [row[3] for row in timed] == ["MESA: locate", "PIER: locate", "MESA: locate"]
        assert [row for row in listed if not row[1]] == [("2026-03-09", "", "", "MESA: look again")]


@pytest.mark.service
def test_what_is_done_goes_from_the_calendar_program_and_what_moves_is_moved(
    dora: User, khal_in: Callable[[str], Khal]
) -> None:
    place = make.place(code="MESA", time_zone="America/Denver")
    rows = [
        make_due.follow_up(property=place, what=what, due_on=AFTER) for what in ("look", "soak")
    ]
    program = khal_in("America/Denver")
    program.read(feed(dora))
    assert [row[3] for row in program.listed("2026-03-09", 1)] == ["MESA: look", "MESA: soak"]
    finish_follow_up(follow_up=rows[0], by=dora, today=AFTER)
    move_follow_up(follow_up=rows[1], to=date(2026, 3, 12), why="rain", today=AFTER)
    program.read(feed(dora))
    found = [(row[0], row[3]) for row in program.listed("2026-03-05", 10)]
    assert found == [("2026-03-12", "MESA: soak")]
    reopen_follow_up(follow_up=rows[0])
    program.read(feed(dora))
    assert [row[3] for row in program.listed("2026-03-09", 1)] == ["MESA: look"]
