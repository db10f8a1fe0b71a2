"""Ohms at the controller, asked for by the plan and recorded by one tap."""

import pytest
from django.test import Client
from django.urls import reverse

from faults.locating.engines.actions import ReadOhms
from faults.locating.engines.belief import Outside
from faults.locating.engines.options import Stand
from faults.locating.services.beliefs import Believed
from faults.locating.services.states import state_of
from faults.models import Search
from faults.sheet.forms.search_step import search_step
from sites.models import WireKind
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db


@pytest.fixture
def way() -> Way:
    return make_searches.way(200, 300, 100, joints="uu")


def state(search: Search) -> Believed:
    return state_of(search.fault, search.station, search, today=make.TODAY)


def is_asked(search: Search) -> bool:
    return any(option.action == ReadOhms() for option in state(search).options(Stand()))


def form(search: Search) -> str:
    return reverse("faults:search_record", args=[search.ref, "ohms"])


def test_the_page_asks_for_them_until_they_are_recorded(
    browser: Client, way: Way, search: Search
) -> None:
    page = reverse("faults:where", args=[way.fault.ref, way.station.ref])
    before = browser.get(page).content.decode()
    assert "wire off its terminal, read ohms from it to the common" in before
    asked = browser.post(form(search), {"taken_at": "2025-06-15T12:30", "ohms": "as expected"})
    assert asked.status_code == 302
    assert search.readings.get().said == {"kind": "ohms", "ohms": "as expected"}
    after = browser.get(page).content.decode()
    assert "Ohms at the controller: as expected" in after
    assert "wire off its terminal, read ohms from it to the common" not in after
    assert not is_asked(search)
    # What is whole up to the coil leaves the ends.
    before_it = state(search).before
    belief = state(search).belief
    assert belief is not None
    assert belief.outside[Outside.WATER] > 5 * before_it.outside[Outside.WATER]


def test_the_form_says_what_they_should_read(browser: Client, way: Way, search: Search) -> None:
    unknown = browser.get(form(search)).content.decode()
    assert "Most read 20.0 Ω to 60.0 Ω (common practice)." in unknown
    way.station.coil_ohms = 24.0
    way.station.save()
    way.wire.size = "18"
    way.wire.save()
    common = make.wire(property=way.fault.property, kind=WireKind.COMMON, size="18")
    common.legs.set(way.legs)
    # By hand: 600 ft there and back of 18 AWG at 6.385 ohms a thousand are 7.7; 24 for the coil.
    assert "It should read about 31.7 Ω" in browser.get(form(search)).content.decode()


def test_of_two_coils_the_form_asks_whether_one_is_open(
    browser: Client, way: Way, search: Search
) -> None:
    assert "one of its two coils" not in browser.get(form(search)).content.decode()
    way.station.coil_ohms, way.station.second_coil_ohms = 24.0, 60.0
    way.station.save()
    way.wire.size = "18"
    way.wire.save()
    common = make.wire(property=way.fault.property, kind=WireKind.COMMON, size="18")
    common.legs.set(way.legs)
    page = browser.get(form(search)).content.decode()
    # By hand: 7.7 ohms of wire, with 24 x 60 / 84, with 24 alone, with 60 alone.
    assert "It should read about 24.8 Ω" in page
    assert "With one of its two coils open about 31.7 Ω or 67.7 Ω." in page
    told = {"taken_at": "2025-06-15T12:30", "ohms": "one coil open"}
    assert browser.post(form(search), told).status_code == 302
    assert search.readings.get().said["check"] == "coil"
    belief = state(search).belief
    assert belief is not None
    assert belief.outside[Outside.COIL] > 0.5
    where = reverse("faults:where", args=[way.fault.ref, way.station.ref])
    after = browser.get(where).content.decode()
    assert "Ohms at the controller: as with one of the two coils open" in after


def test_the_phone_asks_it_of_that_station_alone(way: Way, search: Search) -> None:
    def taps() -> list[str]:
        step = search_step(way.fault, list(way.fault.stations.all()), make.TODAY, at=make.NOW)
        return [label for label, _ in step["searches"][0]["actions"]["read ohms"]["results"]]

    assert len(taps()) == 5
    way.station.second_coil_ohms = 60.0
    way.station.save()
    assert taps()[1] == "as with one of its two coils open"
    assert len(taps()) == 6


def test_nothing_chosen_keeps_the_form(browser: Client, search: Search) -> None:
    again = browser.post(form(search), {"taken_at": "2025-06-15T12:30"})
    assert again.status_code == 422
    assert not search.readings.exists()


def test_the_phone_has_a_tap_for_each(way: Way, search: Search) -> None:
    step = search_step(way.fault, list(way.fault.stations.all()), make.TODAY, at=make.NOW)
    said = [each for _, each in step["actions"]["read ohms"]["results"]]
    assert [each["ohms"] for each in said] == [
        "open",
        "high",
        "as expected",
        "coil low",
        "dead short",
    ]
    assert {each["kind"] for each in said} == {"ohms"}
    assert step["searches"][0]["plain"]["tools"]["ohms"] is True
