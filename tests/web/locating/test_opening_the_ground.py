"""The ground opened on a long leg: the advice, the box entered on its leg, and what follows."""

import pytest
from django.test import Client
from django.urls import reverse

from faults.locating.engines.actions import OpenGround
from faults.locating.engines.options import Stand
from faults.locating.services.beliefs import Believed
from faults.locating.services.shown import next_lines
from faults.locating.services.states import state_of
from faults.models import Assignment, Search
from faults.sheet.forms.search_step import search_step
from sites.kernel.engines.roles import Role
from sites.models import Units
from tests import make, make_searches
from tests.make_searches import Way

pytestmark = pytest.mark.django_db
WORDS = "Open the ground on leg"


@pytest.fixture
def way() -> Way:
    return make_searches.way(100, 800, 100, joints="ss")


def page_of(way: Way) -> str:
    return reverse("faults:where", args=[way.fault.ref, way.station.ref])


def test_the_advice_leads_to_the_leg_and_its_box_is_then_one_of_the_line(
    browser: Client, way: Way, search: Search
) -> None:
    leg = way.legs[1]
    page = browser.get(page_of(way)).content.decode()
    assert f"{WORDS} {leg}" in page
    (line,) = [each for each in next_lines(_state(search), Stand()) if each.words.startswith(WORDS)]
    # Local rules and licensed people decide where a hole can hurt someone: said with the advice.
    assert "have buried lines marked before you dig" in line.why.lower()
    split = reverse("faults:leg_split", args=[leg.ref])
    assert f'href="{split}?{line.query.replace("&", "&amp;")}"' in page
    form = browser.get(f"{split}?{line.query}").content.decode()
    assert 'value="400"' in form
    told = {
        "new_name": "hole",
        "new_kind": "splice box",
        "measured_from": "first",
        "feet": "400",
        "on": make.TODAY.isoformat(),
    }
    assert browser.post(split, told).status_code == 302
    after = _state(search)
    assert [round(each.length_ft) for each in after.ground.line.legs] == [100, 400, 400, 100]
    assert "hole" in after.ground.names.values()
    record = reverse("faults:search_record", args=[search.ref, "box"])
    assert "hole" in browser.get(record).content.decode()


def test_from_the_leg_s_other_end_and_in_metres(browser: Client, way: Way, search: Search) -> None:
    leg = way.legs[1]
    leg.from_point, leg.to_point = leg.to_point, leg.from_point
    leg.save()
    way.fault.property.units = Units.METRIC
    way.fault.property.save()
    (line,) = [each for each in next_lines(_state(search), Stand()) if each.words.startswith(WORDS)]
    # By hand: 400 ft are 121.9 m, from the end that lies toward the controller.
    assert sorted(line.query.split("&"))[:2] == ["feet=122", "from_second=yes"]
    split = reverse("faults:leg_split", args=[leg.ref])
    form = browser.get(f"{split}?{line.query}").content.decode()
    assert 'value="122"' in form


def test_where_only_the_length_is_known_no_hole_is_named(search: Search) -> None:
    station = make.station(run_length_ft=1000.0)
    fault = make.fault(station)
    state = state_of(fault, station, None, today=make.TODAY)
    assert not any(isinstance(each.action, OpenGround) for each in state.options(Stand()))
    assert any(isinstance(e.action, OpenGround) for e in _state(search).options(Stand()))


def test_who_may_not_change_the_ground_reads_the_advice_alone(
    client: Client, way: Way, search: Search
) -> None:
    tracer = make.user(Role.TRACER, property=way.fault.property)
    Assignment.objects.create(fault=way.fault, user=tracer, from_on=make.TODAY)
    client.force_login(tracer, backend="django.contrib.auth.backends.ModelBackend")
    page = client.get(page_of(way)).content.decode()
    assert WORDS in page
    assert "Enter the box on its leg" not in page


def test_the_phone_has_words_for_it(way: Way, search: Search) -> None:
    step = search_step(way.fault, list(way.fault.stations.all()), make.TODAY, at=make.NOW)
    words = step["actions"]["open ground"]["words"]
    assert all(f"%({name})s" in words for name in ("leg", "feet", "start"))
    assert step["searches"][0]["plain"]["tools"]["open_ground"] is True


def _state(search: Search) -> Believed:
    return state_of(search.fault, search.station, search, today=make.TODAY)
