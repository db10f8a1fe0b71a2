"""What the van needs and the register holds: it stands on the sheet."""

from datetime import date, time, timedelta
from typing import Any

import pytest
from django.utils import timezone

from faults.models import Fault, Job, OperatorAnswer, ReadingKind
from faults.rounds.services.of_job import progress_of_job
from faults.sheet.forms.payload import sheet_payload
from faults.sheet.forms.rounds import check_up_step
from faults.sheet.queries import MOST_OF_BOXES
from faults.work.services.photos import hide_job_photo
from sites.kernel.engines.roles import Role
from sites.models import (
    AccessHours,
    Blackout,
    Contact,
    Feed,
    Photo,
    Point,
    Station,
    User,
    WireLeg,
)
from sites.register.services.photos import hide_photo
from tests import make, make_jobs, make_notices

pytestmark = pytest.mark.django_db

MONDAY = date(2025, 6, 16)


@pytest.fixture
def person() -> User:
    """Our technician."""
    return make.user(Role.TECHNICIAN)


@pytest.fixture
def station() -> Station:
    """A station whose wire lies in one leg between two boxes."""
    place = make.place(latitude=33.0, longitude=-113.0, notes="Dog in the yard")
    clock = make.controller(property=place, name="B", notes="behind the kiosk")
    make.point(property=place, name="B", kind="controller", tie_1="2 ft left of the door")
    start = make.point(
        property=place, name="B-S1", lid="green, 10 in", depth_in=4, tie_1="12 ft from the oak",
        latitude=33.0, longitude=-113.0, accuracy_ft=10,
    )  # fmt: skip
    end = make.point(property=place, name="B-V1", kind="valve box")
    leg = make.leg(property=place, from_point=start, to_point=end, label="B-01")
    station = make.station(controller=clock, number=1, coil_ohms=38.0, notes="stiff lid")
    wire = make.wire(property=place)
    WireLeg.objects.create(wire=wire, leg=leg)
    Feed.objects.create(wire=wire, station=station)
    return station


def visit(station: Station, **given: Any) -> Job:
    """A visit on Monday."""
    fault = given.pop("fault", None) or make.fault(station)
    return make_jobs.job(fault=fault, day=MONDAY, **given)


def there(job: Job, person: User) -> dict[str, Any]:
    """The step of the sheet."""
    data = sheet_payload(job=job, user=person, today=MONDAY, at=timezone.now())
    found: dict[str, Any] = next(step for step in data["steps"] if step["id"] == "there")
    return found


def rows(job: Job, person: User, title: str) -> list[list[str]]:
    """The rows under a title, none where it is not there."""
    groups = {group["title"]: group["rows"] for group in there(job, person).get("facts", [])}
    found: list[list[str]] = groups.get(title, [])
    return found


def test_whom_to_call_is_a_tap(station: Station, person: User) -> None:
    place = station.controller.property
    Contact.objects.create(property=place, name="Kim", role="holds the key", phone="+1 (555) 01-23")
    Contact.objects.create(property=place, name="Old", phone="1", ended_on=MONDAY)
    Contact.objects.create(property=place, name="Sam")
    job = visit(station)
    assert rows(job, person, "Whom to call") == [
        ["Holds the key", "Kim, +1 (555) 01-23", "tel:+15550123"],
        ["Contact", "Sam", ""],
    ]


def test_who_may_see_no_contacts_gets_none(station: Station) -> None:
    place = station.controller.property
    Contact.objects.create(property=place, name="Kim", phone="1")
    tracer = make.user(Role.CLIENT, property=place)
    assert rows(visit(station), tracer, "Whom to call") == []


def test_how_to_get_in(station: Station, person: User) -> None:
    place = station.controller.property
    AccessHours.objects.create(property=place, weekday=1, opens_at=time(7), closes_at=time(15, 30))
    Blackout.objects.create(
        property=place, from_on=MONDAY, to_on=MONDAY + timedelta(days=1), why="a wedding"
    )
    past = {"from_on": date(2025, 6, 1), "to_on": MONDAY, "why": "over"}
    Blackout.objects.create(property=place, **past)
    found = rows(visit(station), person, "Getting in")
    assert found[0] == ["Address", "1 Long Walk", "geo:33.000000,-113.000000"]
    assert found[1][:2] == ["Tuesday", "7 a.m. – 3:30 p.m."]
    assert found[2][1] == "closed on this weekday"
    assert found[3][1] == "2025-06-16 – 2025-06-17: a wedding"
    assert found[4] == ["Notes", "Dog in the yard", ""]
    assert len(found) == 5


def test_a_controller_without_words_is_shown_on_a_map_or_not_written_down(person: User) -> None:
    place = make.place()
    mapped = make.controller(property=place, name="C", latitude=33.0, longitude=-113.0)
    bare = make.controller(property=place, name="D")
    fault = make.fault(*(make.station(controller=clock, number=1) for clock in (mapped, bare)))
    assert rows(make_jobs.job(fault=fault, day=MONDAY), person, "Controller") == [
        ["C", "shown on a map", "geo:33.000000,-113.000000"],
        ["D", "where it stands is not written down", ""],
    ]


def test_where_the_controller_stands_and_what_the_coil_is(station: Station, person: User) -> None:
    job = visit(station)
    assert rows(job, person, "Controller") == [["B", "2 ft left of the door; behind the kiosk", ""]]
    make.reading(station=station, kind=ReadingKind.VOLTS, value=24.6, taken_on=date(2025, 6, 2))
    words = rows(job, person, "This station")[0][1]
    assert words.startswith("coil 38")
    assert "24.6 V on 2025-06-02" in words
    assert "stiff lid" in words
    assert "second coil" not in words
    Station.objects.filter(pk=station.pk).update(second_coil_ohms=30.4)
    two = rows(visit(station, fault=job.fault), person, "This station")[0][1]
    assert "second coil 30.4 Ω" in two
    Station.objects.filter(pk=station.pk).update(coil_ohms=None)
    assert "coil not known" in rows(visit(station, fault=job.fault), person, "This station")[0][1]


def test_boxes_have_ties_lid_depth_and_a_place(station: Station, person: User) -> None:
    boxes = there(visit(station), person)["boxes"]
    assert [box["name"] for box in boxes] == ["B-S1", "B-V1"]
    assert boxes[0]["words"] == "splice box, lid: green, 10 in, 4 in under ground"
    assert boxes[0]["ties"] == ["12 ft from the oak"]
    assert boxes[0]["at"] == [33.0, -113.0]
    # 10 ft at 68 %: nine times in ten within 14.2.
    assert boxes[0]["error_ft"] == 14.2
    assert "at" not in boxes[1]


def test_what_others_buried_and_what_broke_there_before(station: Station, person: User) -> None:
    fault: Fault = make.fault(station)
    notice = make_notices.notice(fault=fault, ticket="T-17")
    OperatorAnswer.objects.create(
        notice=notice, operator="Gas", state="marked", answered_on=date(2025, 6, 10)
    )
    OperatorAnswer.objects.create(notice=notice, operator="Water")
    job = visit(station, fault=fault)
    found = rows(job, person, "Buried lines of others")
    assert found[0][0] == "Ticket T-17"
    assert [row[:2] for row in found[1:]] == [
        ["Gas", "marked, 2025-06-10"],
        ["Water", "no answer yet"],
    ]
    leg = WireLeg.objects.get().leg
    make.break_found(leg=leg, feet_along=30, cause="rodent", how_mended="spliced")
    make.break_found(fault=fault, leg=leg)
    earlier = rows(job, person, "Earlier breaks nearby")
    assert [row[1] for row in earlier] == ["30 ft from B-S1, rodent, spliced"]


def test_ohms_stand_before_the_other_stations(station: Station, person: User) -> None:
    other = make.station(controller=station.controller, number=2)
    data = sheet_payload(job=visit(station), user=person, today=MONDAY, at=timezone.now())
    arrive = next(step for step in data["steps"] if step["id"] == "arrive")
    assert arrive["forms_first"]
    assert [row["station"] for row in arrive["stations"]] == [other.pk]
    assert arrive["stations"][0]["clock"] == "B"
    assert arrive["all_run"][0] == "works"


@pytest.mark.parametrize(("kind", "is_asked"), [("dig and mend", True), ("locate", False)])
def test_the_marks_are_photographed_before_a_dig(
    station: Station, person: User, kind: str, is_asked: bool
) -> None:
    job = visit(station, kind=kind)
    data = sheet_payload(job=job, user=person, today=MONDAY, at=timezone.now())
    digs = next(step for step in data["steps"] if step["id"] == "digs")
    photos = [form for form in digs["forms"] if form["kind"] == "photo"]
    assert bool(photos) is is_asked
    if is_asked:
        assert photos[0]["fields"][1]["value"] == "Marks of the utilities"


def test_a_check_up_on_the_phone_knows_who_is_off_the_coil(station: Station) -> None:
    other = make.station(controller=station.controller, number=2)
    make.stopgap(station=other, on=MONDAY - timedelta(days=1))
    job = make_jobs.job(property=station.controller.property, kind="wire check-up")
    come, _visit = progress_of_job(job)
    # The day on which it was fitted is not yet off the coil: see how readings are judged.
    for day, words in ((MONDAY, "off the coil: on a timer"), (MONDAY - timedelta(days=1), "")):
        notes = {form["title"]: form["note"] for form in check_up_step(job, come, day)["forms"]}
        assert notes == {"B:1": "", "B:2": words}


def test_legs_are_named_with_their_boxes(station: Station, person: User) -> None:
    data = sheet_payload(job=visit(station), user=person, today=MONDAY, at=timezone.now())
    found = next(step for step in data["steps"] if step["id"] == "found")
    assert found["legs"][0]["name"] == "B-01, B-S1 – B-V1"


def sources(step: dict[str, Any]) -> list[str]:
    """The references of all pictures that the step shows, those of boxes first."""
    boxes = [one for box in step.get("boxes", []) for one in box["photos"]]
    return [one["src"].split("/")[-2] for one in [*boxes, *step.get("photos", [])]]


def test_a_box_shows_its_newest_two_photos_and_no_hidden_one(
    station: Station, person: User
) -> None:
    box = Point.objects.get(name="B-S1")
    later = [make.NOW + timedelta(hours=n) for n in range(4)]
    old, older, newest, gone = (make.photo(point=box, at=at, caption=f"{at:%H}") for at in later)
    hide_photo(photo=gone, today=MONDAY)
    make.photo(point=make.point(property=box.property, name="B-S9"))
    step = there(visit(station), person)
    assert sources(step) == [newest.ref, older.ref]
    assert old.ref not in sources(step)
    assert [one["words"] for one in step["boxes"][0]["photos"]] == [newest.caption, older.caption]


def test_of_many_boxes_the_newest_twenty_photos_are_taken_along(
    station: Station, person: User
) -> None:
    place = station.controller.property
    wire = station.feeds.get().wire
    for n in range(11):
        leg = make.leg(property=place, label=f"L{n}")
        WireLeg.objects.create(wire=wire, leg=leg)
        for hours in range(2):
            make.photo(point=leg.from_point, at=make.NOW + timedelta(days=n, hours=hours))
    assert len(sources(there(visit(station), person))) == MOST_OF_BOXES
    oldest = Photo.objects.order_by("added_at")[:2]
    assert not {one.ref for one in oldest} & set(sources(there(visit(station), person)))


def test_photos_of_the_marks_of_any_visit_to_the_fault_are_there(
    station: Station, person: User
) -> None:
    job = visit(station)
    marks = make_jobs.job_photo(job=job, caption="Marks of the utilities")
    earlier = visit(station, fault=job.fault)
    hole = make_jobs.job_photo(job=earlier, at=make.NOW - timedelta(days=1))
    make_jobs.job_photo(job=visit(station))
    gone = make_jobs.job_photo(job=job)
    hide_job_photo(photo=gone, today=MONDAY)
    step = there(job, person)
    assert sources(step) == [marks.ref, hole.ref]
    assert [one["words"] for one in step["photos"]] == [
        "Marks of the utilities",
        "Photo of a visit",
    ]


def test_a_visit_without_a_fault_shows_its_own_photos_alone(person: User) -> None:
    place = make.place()
    job = make_jobs.job(fault=None, property=place, kind="station walk", day=MONDAY)
    other = make_jobs.job(fault=None, property=place, kind="station walk", day=MONDAY)
    own = make_jobs.job_photo(job=job)
    make_jobs.job_photo(job=other)
    assert sources(there(job, person)) == [own.ref]
