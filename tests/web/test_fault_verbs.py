"""The pages of the verbs on faults: what they offer, what they keep, and whom they refuse."""

from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from faults.models import Fault, Reading
from sites.models import Feed, Leg, WireLeg
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import Sheet, open_page, send, signed_in

pytestmark = pytest.mark.django_db

TODAY = "2025-06-15"
QUERIES_OF_A_FAULT = 14


@pytest.fixture(autouse=True)
def _today(time_machine: Any) -> None:
    time_machine.move_to(make.NOW, tick=False)


def report_url(ours: Corner) -> str:
    """The page on which a fault of our property is reported."""
    return reverse("faults:report_on_property", args=[ours.property.ref])


def told(**given: Any) -> dict[str, Any]:
    """What a dispatcher fills in at least."""
    usual = {
        "stations": "marigold clock:2",
        "symptom": "not known",
        "opens_by_hand": "not tried",
        "others_run": "not tried",
        "reported_on": TODAY,
    }
    return {**usual, **given}


def newest() -> Fault:
    """The fault that was kept last."""
    return Fault.objects.latest("pk")


def test_a_report_opens_the_faults_page(cast: Cast, ours: Corner) -> None:
    sheet = send(cast.dispatcher, report_url(ours), **told(summary="dead since Monday"))
    assert sheet.messages == [f"Fault {newest()} is reported."]
    assert sheet.heading == f"{newest()}: not known, one station"


def test_the_form_starts_on_the_stations_with_todays_day(cast: Cast, ours: Corner) -> None:
    sheet = open_page(cast.dispatcher, report_url(ours))
    (stations,) = sheet.tree.find("input", name="stations")
    assert "autofocus" in stations.attributes
    assert sheet.value("reported_on") == TODAY
    options = [each.attributes["value"] for each in sheet.tree.find("option")]
    assert "marigold clock:2 marigold beds" in options


def test_from_a_station_it_is_filled_in(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:report_on_station", args=[ours.on_central.ref])
    assert open_page(cast.dispatcher, url).value("stations") == "marigold clock:2"


def test_from_the_list_the_property_is_typed_too(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:report")
    assert open_page(cast.dispatcher, reverse("faults:faults")).links["Report a fault"] == url
    sheet = send(cast.dispatcher, url, **told(place="MARIGOLD-park"))
    assert sheet.messages == [f"Fault {newest()} is reported."]
    assert newest().property == ours.property


def test_a_property_that_nobody_knows_is_asked_again(cast: Cast) -> None:
    sheet = send(cast.dispatcher, reverse("faults:report"), **told(place="nowhere"))
    assert (sheet.status, sheet.errors[0][:11]) == (422, "No property")


def test_a_second_report_links_to_the_first_and_keeps_what_was_typed(
    cast: Cast, ours: Corner
) -> None:
    fields = told(stations="marigold clock:1", summary="the caller was cross")
    sheet = send(cast.dispatcher, report_url(ours), **fields)
    assert sheet.status == 422
    assert "has an open fault already" in sheet.errors[0]
    assert sheet.links[str(ours.fault)] == reverse("faults:fault", args=[ours.fault.ref])
    assert "the caller was cross" in sheet.html


def test_ohms_on_the_phone_become_a_reading(cast: Cast, ours: Corner) -> None:
    send(cast.dispatcher, report_url(ours), **told(ohms="31.5"))
    assert Reading.objects.get(value=31.5).station == ours.on_central


def test_a_client_reports_in_plain_words(cast: Cast, ours: Corner) -> None:
    sheet = open_page(cast.client_user, report_url(ours))
    assert "What do you see?" in sheet.words
    assert "hand" not in sheet.words
    sheet = send(
        cast.client_user,
        reverse("faults:report"),
        stations="marigold beds",
        summary="the beds are dry",
        reported_on=TODAY,
    )
    assert sheet.messages == [f"Fault {newest()} is reported."]
    assert newest().summary == "the beds are dry"


def test_a_client_reports_on_its_own_properties_only(cast: Cast, theirs: Corner) -> None:
    fields = told(place=theirs.property.code, stations="wombat clock:2", summary="dry")
    count = Fault.objects.count()
    send(cast.client_user, reverse("faults:report"), **fields)
    assert send(cast.client_user, report_url(theirs), **fields).status == 404
    assert Fault.objects.count() == count


def test_a_tracer_does_not_report(cast: Cast, ours: Corner) -> None:
    assert open_page(cast.tracer, report_url(ours)).status == 403


def test_a_valve_that_does_not_open_is_told_in_words(cast: Cast, ours: Corner) -> None:
    sheet = send(cast.dispatcher, report_url(ours), **told(opens_by_hand="no"))
    assert "Not the wire: valve or water." in sheet.panel("known")
    assert "the cause lies outside it" in sheet.panel("breaks")


def test_a_report_is_corrected_with_a_reason(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:correct", args=[ours.fault.ref])
    fields = told(reported_on="2025-05-01", opens_by_hand="no", why="the caller rang back")
    assert send(cast.technician, url, **fields).messages
    assert open_page(cast.client_user, url).status == 403


def fault_page(user: Any, fault: Fault) -> Sheet:
    """Open the page of a fault."""
    return open_page(user, reverse("faults:fault", args=[fault.ref]))


def move_url(fault: Fault, to: str) -> str:
    """The page of a step."""
    return reverse("faults:move", args=[fault.ref, to])


@pytest.mark.parametrize(
    ("person", "offered"),
    [
        ("dispatcher", {"Schedule a visit", "Say what was found", "Withdraw"}),
        ("technician", {"Say what was found"}),
        ("tracer", {"Say what was found"}),
        ("water_manager", {"Schedule a visit", "Give up", "Withdraw"}),
        ("client_user", set()),
    ],
)
def test_the_page_offers_the_next_steps_of_the_users_role(
    cast: Cast, ours: Corner, person: str, offered: set[str]
) -> None:
    links = fault_page(getattr(cast, person), ours.fault).links
    steps = {word for word, url in links.items() if "/move/" in url and "station=" not in url}
    assert steps == offered


def test_a_step_is_taken_and_told(cast: Cast, ours: Corner) -> None:
    row = ours.fault.stations.get()
    sheet = send(
        cast.dispatcher,
        move_url(ours.fault, "scheduled"),
        stations=[str(row.pk)],
        on=TODAY,
        day=TODAY,
        who=str(cast.technician.pk),
    )
    assert sheet.messages == ["marigold clock:1: now scheduled."]
    assert "tessa" in sheet.panel("known")


def test_a_refused_step_keeps_what_was_typed(cast: Cast, ours: Corner) -> None:
    row = ours.fault.stations.get()
    fields = {"stations": [str(row.pk)], "on": TODAY, "side": "elsewhere", "why": "my words"}
    sheet = send(cast.technician, move_url(ours.fault, "found"), **fields)
    assert sheet.status == 422
    assert "Record the break first" in sheet.errors[0]
    assert sheet.value("why") == "my words"


def test_a_step_that_is_not_the_roles_offers_no_station(cast: Cast, ours: Corner) -> None:
    sheet = open_page(cast.technician, move_url(ours.fault, "scheduled"))
    assert "your role may not make it" in sheet.words
    assert sheet.tree.find("input", name="stations") == []


def test_no_page_leads_to_a_stage_that_does_not_exist(cast: Cast, ours: Corner) -> None:
    assert open_page(cast.owner, move_url(ours.fault, "nowhere")).status == 404


def test_two_people_who_move_at_once_are_told(cast: Cast, ours: Corner) -> None:
    url = move_url(ours.fault, "found")
    stamp = open_page(cast.technician, url).value("stamp")
    row = ours.fault.stations.get()
    fields = {"stations": [str(row.pk)], "on": TODAY, "side": "elsewhere"}
    send(cast.owner, url, **fields, cause_outside="valve shut")
    sheet = send(cast.technician, url, **fields, cause_outside="solenoid", stamp=stamp)
    assert sheet.status == 422
    assert ours.fault.stations.get().stage == "found"


def _standing_leg(ours: Corner) -> Leg:
    leg = make.leg(property=ours.property, label="L1", length_ft=100.0)
    wire = make.wire(property=ours.property, name="red 1")
    WireLeg.objects.create(leg=leg, wire=wire)
    Feed.objects.create(wire=wire, station=ours.off_central)
    return leg


def break_fields(leg: Leg, **given: Any) -> dict[str, Any]:
    """What a technician fills in for a break on a leg."""
    usual = {
        "leg": leg.ref,
        "feet_along": "40",
        "from_point": leg.from_point.ref,
        "wires": [wire.ref for wire in leg.wires.all()],
        "found_on": TODAY,
        "cause": "shovel",
        "damage": "cut",
        "shows": "before",
        "move_on": "on",
    }
    return {**usual, **given}


def test_a_break_is_recorded_and_the_station_is_found(cast: Cast, ours: Corner) -> None:
    leg = _standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.technician, url, **break_fields(leg, photo=make.picture_file()))
    assert sheet.messages == ["The break is recorded: L1, 2025-06-15."]
    one = ours.fault.breaks.get()
    assert (one.feet_along, one.wires.get().name) == (40.0, "red 1")
    assert one.photos.get().shows == "before"
    assert "Now: found." in sheet.words
    assert "leg L1, 40 ft from" in sheet.panel("breaks")


def test_metres_are_kept_as_feet_and_shown_as_metres(cast: Cast, ours: Corner) -> None:
    ours.property.units = "metric"
    ours.property.save()
    leg = _standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.technician, url, **break_fields(leg, feet_along="12", depth_in="30"))
    one = ours.fault.breaks.get()
    assert one.feet_along == pytest.approx(39.37, abs=0.01)
    assert one.depth_in == pytest.approx(11.81, abs=0.01)
    assert "12 m from" in sheet.panel("breaks")
    again = open_page(cast.technician, reverse("faults:break_correct", args=[one.ref]))
    assert (again.value("feet_along"), again.value("depth_in")) == ("12", "30")


def test_a_leg_that_was_chosen_without_script_offers_its_wires(cast: Cast, ours: Corner) -> None:
    leg = _standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    assert "red 1" not in open_page(cast.technician, url).words
    assert "red 1" in open_page(cast.technician, f"{url}?leg={leg.ref}").words
    sheet = send(cast.technician, url, **break_fields(leg, feet_along="400"))
    assert (sheet.status, "red 1" in sheet.words) == (422, True)
    assert sheet.errors == [
        "The leg is shorter than that. Measure again, or correct the length of the leg first if "
        "that is wrong."
    ]


def test_a_file_that_is_no_picture_is_refused_beside_its_field(cast: Cast, ours: Corner) -> None:
    from django.core.files.uploadedfile import SimpleUploadedFile

    leg = _standing_leg(ours)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    file = SimpleUploadedFile("x.jpg", b"not a picture", "image/jpeg")
    sheet = send(cast.technician, url, **break_fields(leg, photo=file))
    assert (sheet.status, "not a picture" in sheet.errors[0]) == (422, True)
    assert ours.fault.breaks.count() == 0


def test_our_own_mend_nearby_is_told_at_once_and_on_the_page(cast: Cast, ours: Corner) -> None:
    leg = _standing_leg(ours)
    old = make.fault(ours.on_central, key="F-0001", stage="returned")
    day = date(2025, 1, 10)
    place = {"leg": leg, "feet_along": 42.0, "mended_on": day, "found_on": day}
    make.break_found(fault=old, warranty_until=date(2026, 1, 10), **place)
    url = reverse("faults:break_add", args=[ours.fault.ref])
    sheet = send(cast.technician, url, **break_fields(leg))
    assert "under our own warranty until 2026-01-10" in sheet.messages[0]
    assert "under our own warranty until 2026-01-10" in sheet.panel("breaks")
    assert "F-0001" in sheet.links
    assert "F-0001" not in fault_page(cast.tracer, ours.fault).links


def test_a_break_is_corrected_with_what_was_wrong(cast: Cast, ours: Corner) -> None:
    leg = _standing_leg(ours)
    one = make.break_found(fault=ours.fault, leg=leg, feet_along=40.0)
    url = reverse("faults:break_correct", args=[one.ref])
    assert send(cast.technician, url, **break_fields(leg, feet_along="44")).status == 422
    sheet = send(cast.technician, url, **break_fields(leg, feet_along="44", why="misread"))
    assert "Corrected" in sheet.messages[0]
    one.refresh_from_db()
    assert one.feet_along == 44.0


def test_assigning_and_ending_it_opens_and_closes_the_fault_to_a_tracer(
    cast: Cast, ours: Corner
) -> None:
    fault = make.fault(ours.on_central, key="other")
    assert fault_page(cast.tracer, fault).status == 404
    url = reverse("faults:assign", args=[fault.ref])
    sheet = send(cast.dispatcher, url, who=str(cast.tracer.pk), from_on=TODAY)
    assert sheet.messages == ["other is assigned to trace."]
    assert fault_page(cast.tracer, fault).status == 200
    held = fault.assignments.get()
    ending = reverse("faults:unassign", args=[fault.ref])
    sheet = send(cast.dispatcher, ending, assignment=str(held.pk), on=TODAY)
    assert sheet.messages == ["trace is no longer assigned."]
    assert fault_page(cast.tracer, fault).status == 404
    assert open_page(cast.technician, url).status == 403


def test_a_photo_is_added_hidden_and_shown_again(cast: Cast, ours: Corner) -> None:
    one = make.break_found(fault=ours.fault)
    url = reverse("faults:fault_photo_add", args=[ours.fault.ref]) + f"?break={one.ref}"
    fields = {"photo": make.picture_file(), "of_break": one.ref, "shows": "after"}
    sheet = send(cast.technician, url, **fields, caption="two splices")
    assert "two splices" in sheet.panel("photos")
    photo = one.photos.get()
    send(cast.technician, reverse("faults:fault_photo_hide", args=[photo.ref]))
    assert "two splices" not in fault_page(cast.client_user, ours.fault).words
    assert "1 hidden photo" in fault_page(cast.technician, ours.fault).words
    send(cast.technician, reverse("faults:fault_photo_show", args=[photo.ref]))
    assert "two splices" in fault_page(cast.client_user, ours.fault).words


def test_a_picture_is_sent_as_a_picture_to_those_who_may_see_the_fault(
    cast: Cast, ours: Corner
) -> None:
    photo = make.fault_photo(fault=ours.fault)
    url = reverse("faults:fault_photo", args=[photo.ref])
    response = open_page(cast.client_user, url).response
    assert (response.headers["Content-Type"], response.content[:2]) == ("image/jpeg", b"\xff\xd8")
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert "private" in response.headers["Cache-Control"]
    assert open_page(cast.outsider, url).status == 404


def test_the_evidence_tells_all_that_a_bill_needs(cast: Cast, ours: Corner) -> None:
    leg = _standing_leg(ours)
    one = make.break_found(
        fault=ours.fault,
        leg=leg,
        feet_along=40.0,
        depth_in=15.0,
        damage="cut",
        notice_number="N-1234",
        who_was_on_site="the fence crew",
        liable_party="Fence and Co",
        latitude=33.5,
        longitude=-113.9,
        mended_on=date(2025, 5, 4),
        how_mended="two splices",
        wires=list(leg.wires.all()),
    )
    before = make.fault_photo(fault=ours.fault, of_break=one, shows="before")
    sheet = open_page(cast.dispatcher, reverse("faults:evidence", args=[one.ref]))
    facts = sheet.facts("what")
    assert facts["Place"].startswith("leg L1, 40 ft from")
    assert (facts["Depth"], facts["Cause"]) == ("15 in", "shovel, cut")
    assert (facts["Notice number"], facts["Liable party"]) == ("N-1234", "Fence and Co")
    assert facts["Position"] == "33.500000, -113.900000"
    assert facts["What was done"] == "2025-05-04: two splices"
    pictures = [each.attributes["src"] for each in sheet.panels["pictures"].find("img")]
    assert pictures == [reverse("faults:fault_photo", args=[before.ref])]
    assert "After the mend: no photo" in sheet.panel("pictures")


def _with(ours: Corner, *, stations: int, breaks: int, key: str) -> Fault:
    """A fault with so many stations, breaks with a wire each, and photos of them."""
    made = [make.station(controller=ours.controller) for _ in range(stations)]
    fault = make.fault(*made, key=key)
    for number in range(1, breaks + 1):
        leg = make.leg(property=ours.property)
        wires = [make.wire(property=ours.property)]
        one = make.break_found(
            fault=fault, leg=leg, feet_along=5.0, running_number=number, wires=wires
        )
        make.fault_photo(fault=fault, of_break=one)
    return fault


@pytest.mark.parametrize(("stations", "breaks"), [(3, 2), (30, 20)])
def test_a_faults_page_asks_equally_often_for_few_stations_and_for_many(
    cast: Cast,
    ours: Corner,
    stations: int,
    breaks: int,
    django_assert_num_queries: Any,
) -> None:
    fault = _with(ours, stations=stations, breaks=breaks, key="many")
    browser = signed_in(cast.dispatcher)
    url = reverse("faults:fault", args=[fault.ref])
    browser.get(url)
    # Session, user and grants; the fault, its stations, moves, yeses, proofs, assignments, breaks
    # with wires, earlier mends and photos; its history.
    with django_assert_num_queries(QUERIES_OF_A_FAULT):
        assert browser.get(url).status_code == 200
