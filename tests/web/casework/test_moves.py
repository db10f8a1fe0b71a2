"""Pages on which stations of a fault move, and on which the fault is assigned."""

from typing import Any

import pytest
from django.urls import reverse

from faults.models import Fault
from tests import make
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY, fault_page
from tests.web.pages import open_page, send, signed_in

QUERIES_OF_A_FAULT = 31

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


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
    # with wires, earlier mends and photos; its open jobs; what was spent, of which limits, on which
    # lines; its quotes and history; notices and questions.
    with django_assert_num_queries(QUERIES_OF_A_FAULT):
        assert browser.get(url).status_code == 200
