"""Pages of working time and of kinds of job: who may, what is kept, what comes back."""

from datetime import timedelta

import pytest
from django.urls import reverse

from faults.models import Crew, PersonAway, WorkDay
from faults.models.kind import kind_facts
from faults.work.views.crews import CrewChange, CrewRetire, CrewView
from sites.kernel.engines.roles import Action, Role
from sites.models import User
from tests import make, make_jobs
from tests.web.pages import open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

MONDAY = make.TODAY + timedelta(days=1)


@pytest.fixture
def dispatcher() -> User:
    return make.user(Role.DISPATCHER)


@pytest.fixture
def technician() -> User:
    return make.user(Role.TECHNICIAN)


@pytest.fixture
def crew(technician: User) -> Crew:
    return make_jobs.crew(technician, name="North")


def test_a_week_is_set_and_half_an_hour_comes_back(dispatcher: User, crew: Crew) -> None:
    url = reverse("faults:crew_week", args=[crew.ref])
    wrong = {"works_0": "on", "from_0": "08:00", "from_1": "09:00", "until_1": "10:00"}
    page = send(dispatcher, url, **wrong)
    assert "Enter both times, or none." in page.errors
    assert "Tick the day too, or take its hours out." in page.errors
    assert page.value("from_0") == "08:00"
    assert not WorkDay.objects.exists()
    send(dispatcher, url, works_0="on", works_4="on", from_4="07:00", until_4="11:30")
    kept = WorkDay.objects.order_by("weekday").values_list("weekday", "ends_at")
    assert [weekday for weekday, _ends in kept] == [0, 4]
    words = open_page(dispatcher, reverse("faults:crew", args=[crew.ref])).words
    assert "Monday, Friday 07:00–11:30" in words
    pause = {"works_0": "on", "break_from_0": "13:00"}
    assert "Enter both times, or none." in send(dispatcher, url, **pause).errors
    pause["break_to_0"] = "07:00"
    assert "It must end after it begins." in send(dispatcher, url, **pause).errors
    pause["break_to_0"] = "13:30"
    send(dispatcher, url, **pause)
    words = open_page(dispatcher, reverse("faults:crew", args=[crew.ref])).words
    assert "Monday (break 13:00–13:30)" in words
    # Opened and kept as it is, it stays.
    assert open_page(dispatcher, url).value("break_from_0") == "13:00"


def test_a_second_break_is_asked_and_shown(dispatcher: User, crew: Crew) -> None:
    url = reverse("faults:crew_change", args=[crew.ref])
    given = {"name": "North", "starts_at": "07:00", "ends_at": "16:00"}
    given |= {"break_from": "12:00", "break_to": "12:30"}
    given |= {"second_break_from": "12:15", "second_break_to": "12:45"}
    page = send(dispatcher, url, **given)
    assert "The two breaks are at the same time." in page.words
    assert page.value("second_break_from") == "12:15"
    send(dispatcher, url, **{**given, "second_break_from": "09:00", "second_break_to": "09:15"})
    words = open_page(dispatcher, reverse("faults:crew", args=[crew.ref])).words
    assert "break 12:00–12:30, break 09:00–09:15;" in words
    assert open_page(dispatcher, url).value("second_break_to") == "09:15"


def test_overtime_is_asked_with_what_it_costs(dispatcher: User, crew: Crew) -> None:
    url = reverse("faults:crew_change", args=[crew.ref])
    given = {"name": "North", "starts_at": "07:00", "ends_at": "16:00", "overtime_minutes": "60"}
    assert "Overtime needs its minutes" in send(dispatcher, url, **given).words
    given |= {"hour_costs": "40", "overtime_hour_costs": "60.50", "costs_currency": "usd"}
    send(dispatcher, url, **given)
    words = open_page(dispatcher, reverse("faults:crew", args=[crew.ref])).words
    assert "at most 60 min a day; an hour of it costs 60.50 USD, an ordinary one 40.00 USD" in words
    # What an hour costs is for those who set crews up alone, in the list of changes too.
    shown = open_page(dispatcher, reverse("faults:crew", args=[crew.ref]))
    assert shown.words.count("60.50") == 2
    for role in (Role.TECHNICIAN, Role.WATER_MANAGER):
        words = open_page(make.user(role), reverse("faults:crew", args=[crew.ref])).words
        assert "at most 60 min a day" in words
        assert "overtime, at most, minutes" in words
        assert "60.50" not in words
        assert "USD" not in words


def test_who_is_ill_is_kept_shown_and_taken_back(
    dispatcher: User, technician: User, crew: Crew
) -> None:
    member = crew.members.get()
    url = reverse("faults:crew_member_away", args=[member.pk])
    days = {"from_on": str(MONDAY), "last_on": str(MONDAY)}
    send(dispatcher, url, kind="ill", why="a cold", **days)
    away = PersonAway.objects.get()
    assert (away.from_on, away.to_on) == (MONDAY, MONDAY + timedelta(days=1))
    page = reverse("faults:crew", args=[crew.ref])
    assert "ill: a cold" in open_page(dispatcher, page).words
    # Why somebody is away is nobody's business who does not set up crews.
    seen = open_page(technician, page).words
    assert "Who is not there" in seen
    assert "a cold" not in seen
    send(dispatcher, reverse("faults:person_away_take_back", args=[away.pk]))
    assert "Who is not there" not in open_page(dispatcher, page).words


def test_kinds_are_read_by_all_and_changed_by_who_sets_up_work(
    dispatcher: User, technician: User
) -> None:
    listed = open_page(technician, reverse("faults:job_kinds"))
    assert "two-wire check" in listed.words
    url = reverse("faults:job_kind_change", args=["coil"])
    assert url not in listed.links.values()
    assert signed_in(technician).get(url).status_code == 403
    told = {"minutes": 25, "skill": 2, "people": 1, "opens_ground": "on", "gear": "coils"}
    send(dispatcher, url, **told)
    assert kind_facts("coil").opens_ground
    assert kind_facts("coil").minutes == 25
    dig = reverse("faults:job_kind_change", args=["dig and mend"])
    page = send(dispatcher, dig, minutes=99, skill=1, people=1, gear="")
    assert any("A dig opens ground" in each for each in page.errors)
    assert page.value("minutes") == "99"
    assert signed_in(dispatcher).get("/job-kinds/a%20party/change/").status_code == 404


def test_who_is_told_what_changed_meanwhile_may_see_all_of_a_crew() -> None:
    """What is said when a form is out of date hides nothing, so none may be for others."""
    found = every(CrewView)
    assert {CrewChange, CrewRetire} <= found
    assert {view.verb.verb.action for view in found} == {Action.SET_UP_WORK}


def every(view: type[CrewView]) -> set[type[CrewView]]:
    return {each for sub in view.__subclasses__() for each in {sub} | every(sub)}
