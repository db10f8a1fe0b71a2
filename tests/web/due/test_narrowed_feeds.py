"""Calendars narrowed to kinds and to one person: less is shown, and nobody else's things."""

from typing import Any

import pytest
from django.urls import reverse
from icalendar import Calendar

from sites.models import User
from tests import make_due, make_jobs
from tests.cast import Cast, Corner
from tests.make import TODAY
from tests.web.pages import open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def things(cast: Cast, ours: Corner) -> None:
    """A walk of the technician's crew, a locate of another, two lines that are due."""
    for kind, crew in (
        ("station walk", make_jobs.crew(cast.technician)),
        ("locate", make_jobs.crew(name="Other")),
    ):
        make_jobs.job(property=ours.property, kind=kind, crew=crew, day=TODAY)
    make_due.follow_up(property=ours.property, what="look again", due_on=TODAY)
    mine = make_due.follow_up(property=ours.property, what="ring them", due_on=TODAY)
    mine.handed_to = cast.technician
    mine.save()


def address(user: User, **narrowed: Any) -> str:
    """Make a link and return its path with what stands behind the question mark."""
    sheet = send(user, reverse("faults:calendar_make"), **narrowed)
    (shown,) = sheet.tree.find("input", id="address")
    return "/" + shown.attributes["value"].split("/", 3)[3]


def summaries(path: str) -> set[str]:
    """What the calendar holds, without the property."""
    answer = signed_in(None).get(path)
    assert answer.status_code == 200, path
    events = Calendar.from_ical(answer.content).walk("VEVENT")
    return {str(event["SUMMARY"]).split(": ", 1)[1] for event in events}


@pytest.mark.usefixtures("things")
def test_an_address_shows_the_kinds_that_were_ticked(cast: Cast) -> None:
    for kinds, expected in [
        ([], {"station walk", "locate", "look again"}),
        (["visits"], {"station walk", "locate"}),
        (["due"], {"look again"}),
        (["station walk"], {"station walk"}),
        (["station walk", "due"], {"station walk", "look again"}),
        (["by hand"], {"look again"}),
        (["battery"], set()),
    ]:
        assert summaries(address(cast.dispatcher, kind=kinds)) == expected, kinds


@pytest.mark.usefixtures("things")
def test_who_plans_has_a_feed_of_each_person(cast: Cast) -> None:
    path = address(cast.dispatcher, person=cast.technician.pk)
    assert summaries(path) == {"station walk", "ring them"}
    path = address(cast.dispatcher, person=cast.technician.pk, kind=["visits"])
    assert summaries(path) == {"station walk"}


@pytest.mark.usefixtures("things")
def test_who_does_not_plan_is_offered_nobody_else(cast: Cast) -> None:
    page = open_page(cast.technician, reverse("faults:reminders"))
    assert "Dora" not in page.words
    path = address(cast.technician)
    assert summaries(path) == {"station walk", "look again", "ring them"}
    answer = signed_in(None).get(f"{path}?person={cast.dispatcher.pk}")
    assert answer.status_code == 404


@pytest.mark.usefixtures("things")
def test_a_slip_in_the_address_shows_nothing_instead_of_everything(cast: Cast) -> None:
    path = address(cast.dispatcher)
    for slip in ("kind=visit", "person=999999", "kind=due&kind=moon"):
        assert signed_in(None).get(f"{path}?{slip}").status_code == 404
