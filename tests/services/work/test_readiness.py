"""Whether jobs are ready: each subject says what to do, in a fixed number of queries."""

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.cases.services.asking import Question, ask_client
from faults.models import Job
from faults.notices.services.gate import override_dig
from faults.work.services.readiness import Readiness, readiness_of
from faults.work.services.ready_lines import ReadyLine
from faults.work.services.soaking import UnableToNoteSoak, note_soak, texture_of
from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import Property
from sites.register.engines.open_hours import WeekHours
from sites.register.services.access_days import add_blackout, set_access_hours
from tests import make, make_notices

pytestmark = pytest.mark.django_db

TODAY = make.TODAY  # a Sunday
MONDAY = TODAY + timedelta(days=1)


def of(job: Job) -> Readiness:
    """The readiness of one job."""
    return readiness_of([job], today=TODAY)[job.pk]


def line(job: Job, subject: str) -> ReadyLine:
    """One line of it."""
    return next(each for each in of(job).lines if each.subject == subject)


def said(job: Job, subject: str) -> tuple[str, str]:
    """State and words of one line."""
    found = line(job, subject)
    return found.state.value, found.words


def at_place(place: Property, **given: Any) -> Job:
    """A dig tomorrow, of a fault of this property."""
    fault = make.fault(
        make.station(controller=make.controller(property=place)), stage=given.pop("stage", "found")
    )
    return make_notices.dig(**{"fault": fault, "day": MONDAY, **given})


def test_a_locate_job_of_nothing_special_lacks_only_the_soil() -> None:
    job = make_notices.job(property=make.place(), day=MONDAY)
    states = {each.subject.value: each.state.value for each in of(job).lines}
    assert states == {
        "soil": "not known",
        "batteries": "not needed",
        "notice": "not needed",
        "private lines": "not needed",
        "access": "ready",
        "consent": "not known",
        "parts": "not needed",
        "hold": "not needed",
    }
    assert not of(job).is_ready
    assert "Nobody has allowed hours for the search" in " ".join(
        each.words for each in of(job).lacking
    )


@pytest.mark.parametrize(
    ("soil", "soaked", "state", "words"),
    [
        ("loam", TODAY, "ready", "Soaked on 2025-06-15"),
        ("clay", TODAY, "not ready", "from 2025-06-17 on"),
        ("clay", TODAY - timedelta(days=1), "ready", "Soaked on"),
        ("loam", None, "not ready", "Soak the ground today"),
        ("clay", None, "not ready", "2025-06-14 was the last day"),
        ("", TODAY, "not known", "names no texture"),
        ("dirt", TODAY, "not known", "names no texture"),
    ],
)
def test_soil_is_ready_a_day_after_the_soak_and_clay_after_two(
    soil: str, soaked: date | None, state: str, words: str
) -> None:
    job = make_notices.job(property=make.place(soil=soil), day=MONDAY, soaked_on=soaked)
    assert line(job, "soil").state == state
    assert words in line(job, "soil").words


def test_a_rod_that_reaches_the_cable_counts_more_than_days() -> None:
    job = at_place(make.place(soil="clay"), planned_depth_in=14, rod_depth_in=14)
    assert said(job, "soil") == ("ready", "A rod goes down to the cable: 14 in.")
    job.rod_depth_in, job.soaked_on = 13, TODAY - timedelta(days=5)
    assert said(job, "soil") == (
        "not ready",
        "A rod stops at 13 in, the cable lies at 14 in. Soak once more.",
    )


def test_without_a_planned_depth_the_break_says_how_deep_the_cable_lies() -> None:
    job = at_place(make.place(units="metric"), rod_depth_in=11)
    make.break_found(fault=job.fault, depth_in=10.0)
    assert said(job, "soil") == ("ready", "A rod goes down to the cable: 28 cm.")
    make.break_found(fault=job.fault, depth_in=12.0, running_number=2)
    assert line(job, "soil").state == "not ready"


@pytest.mark.parametrize(
    ("soil", "texture"),
    [
        ("Loam", "loam"),
        ("sandy-loam over rock", "sandy loam"),
        ("Silty CLAY LOAM", "clay loam"),
        ("sand and clay", None),
        ("loamy sand", "loamy sand"),
        ("", None),
        ("sandstone", None),
    ],
)
def test_the_texture_is_read_from_peoples_words(soil: str, texture: str | None) -> None:
    assert texture_of(soil) == texture


def test_batteries_are_for_rounds_and_for_jobs_with_timers() -> None:
    round_ = make_notices.job(kind="battery round")
    assert said(round_, "batteries") == (
        "not ready",
        "Put batteries on the vehicle, then tick them off.",
    )
    job = make_notices.job()
    job.devices.set([make.device(property=job.property), make.device(property=job.property)])
    assert "for 2 timers" in line(job, "batteries").words
    job.batteries_ready = True
    assert said(job, "batteries") == ("ready", "On the vehicle.")


def test_a_dig_needs_its_notice_for_the_planned_day() -> None:
    make_notices.rule(region="Ohio")
    job = at_place(make.place(notice_region="Ohio"))
    assert said(job, "notice") == (
        "not ready",
        "No notice was given. Give one before anybody digs.",
    )
    make_notices.notice("Gas", fault=job.fault, proposed_start_on=date(2025, 6, 9))
    assert said(job, "notice") == ("ready", "Clear until the end of 2025-06-19.")
    job.day = date(2025, 6, 20)
    assert "ran out after 2025-06-19" in line(job, "notice").words


def test_the_owners_word_stands_in_the_line_of_the_notice() -> None:
    job = at_place(make.place())
    owner = make.user(username="olive")
    override_dig(job=job, reason="the city spoke", by=owner, at=make.NOW)
    assert said(job, "notice") == (
        "ready",
        "Let go by olive against the notice: the city spoke",
    )


@pytest.mark.parametrize(
    ("given", "state", "words"),
    [
        ({"day": None}, "not known", "No day is set."),
        ({}, "ready", "Open 07:00–12:00."),
        ({"expected_minutes": 301}, "not ready", "too short for 301 minutes"),
        ({"starts_at": time(11, 30)}, "not ready", "too short for 60 minutes"),
        ({"starts_at": time(11)}, "ready", "Open 07:00–12:00."),
        ({"day": TODAY}, "not ready", "closed on this weekday"),
        ({"day": MONDAY + timedelta(days=7)}, "not ready", "a fair"),
    ],
)
def test_the_property_must_be_open_for_as_long_as_the_job_takes(
    given: dict[str, Any], state: str, words: str
) -> None:
    place = make.place()
    set_access_hours(place=place, hours=[WeekHours(0, time(7), time(12))])
    fair = MONDAY + timedelta(days=7)
    add_blackout(place=place, from_on=fair, to_on=fair + timedelta(days=1), why="a fair")
    found = line(make_notices.job(**{"property": place, "day": MONDAY, **given}), "access")
    assert found.state == state
    assert words in found.words


def test_a_dig_needs_the_clients_yes_for_its_stations() -> None:
    place = make.place()
    job = at_place(place)
    assert "Nobody has agreed" in line(job, "consent").words
    ask_client(
        fault=job.fault, question=Question(TODAY, "Ann", "may we?"), by=make.user(), today=TODAY
    )
    assert "has not answered" in line(job, "consent").words
    row = job.fault.stations.get()
    row.stage = "agreed"
    row.save()
    assert said(job, "consent") == ("ready", "The client said yes.")
    other = make.station(controller=row.station.controller)
    job.fault.stations.create(station=other, stage="found")
    assert line(job, "consent").state == "not ready"
    job.stations.set([row.station])
    assert line(job, "consent").state == "ready"


@pytest.mark.parametrize(
    ("given", "state"),
    [
        ({}, "ready"),
        ({"up_to_hours": Decimal("0.5")}, "not ready"),
        ({"up_to_amount": 100}, "not ready"),
        ({"to_on": MONDAY}, "not ready"),
        ({"from_on": MONDAY}, "ready"),
    ],
)
def test_a_standing_authority_covers_the_hours_that_it_names(
    given: dict[str, Any], state: str
) -> None:
    place = make.place()
    make.authority(property=place, **given)
    assert line(at_place(place), "consent").state == state


def test_parts_and_holds_say_what_is_lacking() -> None:
    job = make_notices.job(parts_needed="2 splice kits", held_for="weather", held_since=TODAY)
    assert said(job, "parts") == ("not ready", "Put on the vehicle: 2 splice kits")
    assert "since 2025-06-15" in line(job, "hold").words
    job.parts_ready, job.held_for, job.held_since = True, "", None
    assert (line(job, "parts").state, line(job, "hold").state) == ("ready", "not needed")


def test_a_job_that_lacks_nothing_is_ready() -> None:
    job = make_notices.job(property=make.place(soil="loam"), day=MONDAY, soaked_on=TODAY)
    make.authority(property=job.property)
    assert of(job).is_ready
    assert of(job).lacking == []


def test_the_queries_do_not_grow_with_the_jobs() -> None:
    make_notices.rule(region="Ohio")

    def asked(count: int) -> int:
        jobs = []
        for _ in range(count):
            place = make.place(notice_region="Ohio", soil="loam")
            set_access_hours(place=place, hours=[WeekHours(0, time(7), time(12))])
            job = at_place(place, stage="agreed")
            make_notices.notice("Gas", fault=job.fault)
            make.break_found(fault=job.fault, depth_in=10.0)
            job.devices.add(make.device(property=place))
            jobs += [job, make_notices.job(property=place)]
        rows = list(Job.objects.filter(pk__in=[job.pk for job in jobs]))
        with CaptureQueriesContext(connection) as queries:
            assert len(readiness_of(rows, today=TODAY)) == 2 * count
        return len(queries)

    few, many = asked(3), asked(30)
    assert (few, many) == (17, 17)


def test_the_soak_is_noted_and_taken_back() -> None:
    job = make_notices.job()
    with pytest.raises(UnableToNoteSoak, match="Enter the day"):
        note_soak(job=job, soaked_on=None, rod_depth_in=None, today=TODAY)
    with pytest.raises(UnableToUseDay):
        note_soak(job=job, soaked_on=MONDAY, rod_depth_in=None, today=TODAY)
    with pytest.raises(UnableToNoteSoak, match="0 or more"):
        note_soak(job=job, soaked_on=TODAY, rod_depth_in=-1, today=TODAY)
    note_soak(job=job, soaked_on=TODAY, rod_depth_in=9, today=TODAY)
    assert (job.soaked_on, job.rod_depth_in) == (TODAY, 9)
    note_soak(job=job, soaked_on=None, rod_depth_in=None, today=TODAY)
    assert (job.soaked_on, job.rod_depth_in) == (None, None)
    job.state = "done"
    job.save()
    with pytest.raises(UnableToNoteSoak, match="over"):
        note_soak(job=job, soaked_on=TODAY, rod_depth_in=None, today=TODAY)
