"""Pages on which the client is asked, the ground is soaked, and access is set."""

from datetime import date, time
from typing import Any

import pytest
from django.urls import reverse

from faults.models import Asked
from sites.models import Blackout
from sites.register.engines.open_hours import WeekHours
from sites.register.services.access_days import add_blackout, set_access_hours
from tests import make, make_notices
from tests.cast import Cast, Corner
from tests.web.fault_scene import fault_page
from tests.web.pages import Sheet, open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

TODAY = "2025-06-15"


@pytest.fixture
def found(ours: Corner) -> Corner:
    """Our fault was found."""
    row = ours.fault.stations.get()
    row.stage = ours.fault.stage = "found"
    row.save()
    ours.fault.save()
    return ours


def ask(cast: Cast, ours: Corner, **given: Any) -> Sheet:
    """Ask our client as the dispatcher."""
    fields = {"asked_of": "Ann", "what": "may we dig?", "asked_on": TODAY, "up_to_hours": "4"}
    return send(
        cast.dispatcher, reverse("faults:ask", args=[ours.fault.ref]), **{**fields, **given}
    )


def test_a_yes_leads_on_to_agreed_with_what_was_said_filled_in(cast: Cast, found: Corner) -> None:
    sheet = ask(cast, found)
    assert "no answer yet" in sheet.panel("questions")
    assert "Ask the client" not in sheet.links
    asked = Asked.objects.get()
    url = reverse("faults:answer", args=[asked.pk])
    sheet = send(cast.dispatcher, url, answer="yes", answered_on=TODAY, notes="gladly")
    assert sheet.heading == "marigold-fault: Enter the yes"
    assert [sheet.value(each) for each in ("given_by", "given_on", "hours")] == [
        "Ann",
        TODAY,
        "4.00",
    ]
    row = found.fault.stations.get()
    fields = {"stations": [str(row.pk)], "on": TODAY, "given_by": "Ann", "given_on": TODAY}
    sheet = send(
        cast.dispatcher, reverse("faults:move", args=[found.fault.ref, "agreed"]), **fields
    )
    assert "now agreed" in sheet.messages[0]


def test_a_no_leads_back_to_the_fault(cast: Cast, found: Corner) -> None:
    ask(cast, found)
    url = reverse("faults:answer", args=[Asked.objects.get().pk])
    sheet = send(cast.dispatcher, url, answer="no", answered_on=TODAY)
    assert "The client said no." in sheet.messages[0]
    assert "Ask the client" in sheet.links


def test_the_contact_who_approves_is_filled_in(cast: Cast, found: Corner) -> None:
    found.property.contacts.update(role="approves")
    page = open_page(cast.dispatcher, reverse("faults:ask", args=[found.fault.ref]))
    assert page.value("asked_of") == "marigold contact"


def test_a_question_is_put_right_with_a_reason(cast: Cast, found: Corner) -> None:
    asked = make_notices.asked(fault=found.fault)
    url = reverse("faults:question_correct", args=[asked.pk])
    fields = {"asked_of": "Bea", "what": "may we dig?", "asked_on": TODAY, "answer": ""}
    assert send(cast.dispatcher, url, **fields).status == 422
    sheet = send(cast.dispatcher, url, **fields, why="it was Bea")
    assert "Bea" in sheet.panel("questions")


def test_central_is_noted_as_asked_for_proven_stations(cast: Cast, ours: Corner) -> None:
    row = ours.fault.stations.get()
    url = reverse("faults:enable_asked", args=[ours.fault.ref])
    assert "No station of this fault is proven" in open_page(cast.technician, url).words
    row.stage = ours.fault.stage = "proven"
    row.save()
    ours.fault.save()
    assert fault_page(cast.technician, ours.fault).links["Central was asked to enable it"] == url
    send(cast.technician, url, stations=[str(row.pk)], on=TODAY)
    row.refresh_from_db()
    assert row.enable_asked_on == date(2025, 6, 15)
    send(cast.technician, url, stations=[str(row.pk)], on=TODAY, takes_back="on")
    row.refresh_from_db()
    assert row.enable_asked_on is None


def test_the_soak_of_a_property_says_what_it_took_for_granted(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:soak", args=[ours.property.ref])
    page = open_page(cast.technician, url)
    assert "Run 55 min in all on 2025-06-16." in page.words
    assert "names no soil: loam is taken until you choose" in page.panel("known")
    ours.property.soil = "clay"
    ours.property.save()
    page = open_page(cast.technician, f"{url}?depth=18&share_missing=100&dig_on=2025-06-30")
    assert page.value("texture") == "clay"
    assert "cannot take so much water in one day" in page.panel("plan")
    assert "Do not let water stand in an open hole" in page.words
    late = open_page(cast.technician, f"{url}?dig_on=2025-06-16")
    assert "Too late for that day" in late.words
    assert open_page(cast.technician, f"{url}?depth=deep").status == 422


def test_the_soil_of_a_job_is_noted(cast: Cast, ours: Corner) -> None:
    job = make_notices.dig(fault=ours.fault, planned_depth_in=14, day=date(2025, 6, 20))
    page = open_page(cast.technician, reverse("faults:job_soak", args=[job.ref]))
    assert (page.value("depth"), page.value("dig_on")) == ("14", "2025-06-20")
    url = reverse("faults:job_soaked", args=[job.ref])
    assert send(cast.technician, url, soaked_on="2025-06-16").status == 422
    send(cast.technician, url, soaked_on=TODAY, rod_depth_in="9")
    job.refresh_from_db()
    assert (job.soaked_on, job.rod_depth_in) == (date(2025, 6, 15), 9.0)


def test_the_week_and_the_closed_days_of_a_property(cast: Cast, ours: Corner) -> None:
    url = reverse("sites:property_access", args=[ours.property.ref])
    assert "At any time" in open_page(cast.technician, url).words
    hours = reverse("sites:property_access_hours", args=[ours.property.ref])
    bad = send(cast.dispatcher, hours, opens_0_0="07:00", closes_1_0="06:00", opens_1_0="08:00")
    assert bad.errors == [
        "Enter both times, or none.",
        "It closes before it opens. Correct a time.",
    ]
    assert bad.value("opens_0_0") == "07:00"
    sheet = send(cast.dispatcher, hours, opens_0_0="07:00", closes_0_0="16:00")
    assert (sheet.facts("week")["Monday"], sheet.facts("week")["Tuesday"]) == (
        "07:00–16:00",
        "closed",
    )
    assert sheet.facts("ahead")["2025-06-16 Monday"] == "07:00–16:00"
    closed = reverse("sites:property_blackout", args=[ours.property.ref])
    sheet = send(
        cast.dispatcher, closed, from_on="2025-06-16", last_on="2025-06-17", why="a wedding"
    )
    assert "2025-06-16 – 2025-06-17: a wedding" in sheet.panel("closed")
    assert sheet.facts("ahead")["2025-06-16 Monday"] == "closed: a wedding"


def test_closed_days_are_changed_and_taken_back(cast: Cast, ours: Corner) -> None:
    out = add_blackout(
        place=ours.property, from_on=date(2025, 6, 16), to_on=date(2025, 6, 18), why="a fair"
    )
    url = reverse("sites:property_blackout", args=[ours.property.ref]) + f"?row={out.pk}"
    assert open_page(cast.dispatcher, url).value("last_on") == "2025-06-17"
    sheet = send(cast.dispatcher, url, from_on="2025-06-16", last_on="2025-06-16", why="a fair")
    assert "2025-06-16: a fair" in sheet.panel("closed")
    back = reverse("sites:property_blackout_back", args=[ours.property.ref])
    sheet = send(cast.dispatcher, f"{back}?row={out.pk}", why="called off")
    assert "None." in sheet.panel("closed")
    assert Blackout.objects.count() == 1


def test_a_strangers_blackout_cannot_be_named(cast: Cast, ours: Corner, theirs: Corner) -> None:
    out = add_blackout(
        place=theirs.property, from_on=date(2025, 6, 16), to_on=date(2025, 6, 18), why="wombat"
    )
    url = reverse("sites:property_blackout", args=[ours.property.ref]) + f"?row={out.pk}"
    assert open_page(cast.dispatcher, url).status == 404


def test_a_technician_reads_access_and_changes_nothing(cast: Cast, ours: Corner) -> None:
    set_access_hours(place=ours.property, hours=[WeekHours(0, time(7), time(9))])
    page = open_page(cast.technician, reverse("sites:property_access", args=[ours.property.ref]))
    assert "Set the hours" not in page.links
    assert make.TODAY.isoformat() in page.words
