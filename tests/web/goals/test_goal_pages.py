"""Goals: from home to a goal that is set, taken back; who may."""

from datetime import date

import pytest

from reports.models import Goal
from sites.kernel.engines.roles import Role
from sites.models import Grant, Property, User
from tests import make
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def place(db: None) -> Property:
    clock = make.controller()
    make.stopgap(station=make.station(controller=clock))
    make.station(controller=clock)
    return clock.property


SENT = {"place": "", "most_percent": "2", "by_on": "2026-06-01", "why": "the board asked"}


def test_from_home_to_a_goal_and_back(owner: User, place: Property) -> None:
    assert open_page(owner, "/").links["When all will be back"] == "/ahead/"
    client = signed_in(owner)
    answer = client.post("/goals/set/", SENT, follow=True)
    assert "The goal is set." in answer.content.decode()
    page = open_page(owner, "/goals/")
    assert page.rows("standing")[0][1:3] == [
        "at most 2 % by 2026-06-01 the board asked", "50 % (1 of 2)"]  # fmt: skip
    home = open_page(owner, "/")
    assert "Goal: at most 2 % by 2026-06-01; whether it is on its path is not known." in home.words
    goal = Goal.objects.get()
    back = client.post(f"/goals/{goal.ref}/take-back/", {"why": "too high"}, follow=True)
    assert "Taken back." in back.content.decode()
    assert "No goal stands." in open_page(owner, "/goals/").words
    assert "too high" in open_page(owner, "/goals/").words


def test_what_was_typed_stays_when_it_is_refused(owner: User, place: Property) -> None:
    answer = signed_in(owner).post("/goals/set/", {**SENT, "by_on": "2025-06-15"})
    assert answer.status_code == 422
    html = answer.content.decode()
    assert "Give a day to come." in html
    assert "the board asked" in html
    assert not Goal.objects.exists()


def test_a_manager_of_one_property_sets_its_goal_only(place: Property) -> None:
    one = make.user()
    Grant.objects.create(user=one, role=Role.WATER_MANAGER, property=place)
    client = signed_in(one)
    assert "all properties" not in open_page(one, "/goals/set/").words
    assert client.post("/goals/set/", SENT).status_code == 422
    other = make.place()
    assert client.post("/goals/set/", {**SENT, "place": other.ref}).status_code == 422
    assert client.post("/goals/set/", {**SENT, "place": place.ref}).status_code == 302
    theirs = Goal.objects.create(most_percent=1, by_on=date(2026, 1, 1), set_on=make.TODAY)
    assert client.get(f"/goals/{theirs.ref}/take-back/").status_code == 404


def test_who_may_see_and_set() -> None:
    dispatcher, technician = make.user(Role.DISPATCHER), make.user(Role.TECHNICIAN)
    assert signed_in(dispatcher).get("/goals/").status_code == 200
    assert "Set a goal" not in open_page(dispatcher, "/goals/").links
    assert signed_in(dispatcher).post("/goals/set/", SENT).status_code == 403
    assert signed_in(technician).get("/goals/").status_code == 403


def test_home_says_nothing_of_it_to_who_sees_no_prices(place: Property) -> None:
    make.user(Role.OWNER)
    Goal.objects.create(most_percent=1, by_on=date(2026, 1, 1), set_on=make.TODAY)
    technician = make.user(Role.TECHNICIAN)
    page = open_page(technician, "/")
    assert "Goal:" not in page.words
    assert "When all will be back" not in page.links


def test_a_property_says_its_own_goal_to_who_sees_prices(owner: User, place: Property) -> None:
    page = f"/properties/{place.ref}/"
    signed_in(owner).post("/goals/set/", SENT)
    assert "Goal:" not in open_page(owner, page).words
    signed_in(owner).post("/goals/set/", {**SENT, "place": place.ref, "most_percent": "60"})
    said = open_page(owner, page).words
    assert "Goal: at most 60 % by 2026-06-01; 50 % (1 of 2) now;" in said
    assert "Goal:" not in open_page(make.user(Role.TECHNICIAN), page).words
