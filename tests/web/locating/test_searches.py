"""Where it is broken, on a page: likelihood, next test, what each test did, and its forms."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from faults.locating.engines.cases import Case
from faults.locating.engines.options import Stand
from faults.locating.engines.plain import option_plain
from faults.locating.services.finding_words import finding_templates
from faults.locating.services.states import state_of
from faults.models import Search, SearchNumber
from tests import make, make_searches
from tests.cast import Cast
from tests.make_searches import Way

pytestmark = pytest.mark.django_db


@pytest.fixture
def way() -> Way:
    return make_searches.way(200, 300, 100, joints="su")


@pytest.fixture
def browser(client: Client, cast: Cast) -> Client:
    client.force_login(cast.technician, backend="django.contrib.auth.backends.ModelBackend")
    return client


def where(way: Way) -> str:
    return reverse("faults:where", args=[way.fault.ref, way.station.ref])


def begun(way: Way, **given: Any) -> Search:
    usual = {"started_at": make.NOW - timedelta(days=1)}
    return make_searches.search(
        fault=way.fault, station=way.station, wire=way.wire, **{**usual, **given}
    )


def record(browser: Client, search: Search, kind: str, **data: Any) -> Any:
    url = reverse("faults:search_record", args=[search.ref, kind])
    return browser.post(url, {"taken_at": "2025-06-15T12:30", **data})


def test_each_case_has_words() -> None:
    told = {name.removesuffix(", alone") for name in finding_templates()}
    assert told == {case.value for case in Case}


def test_the_page_says_where_it_is_likely_and_what_to_do(browser: Client, way: Way) -> None:
    text = browser.get(where(way)).content.decode()
    assert "600 ft of wire, 2 boxes. No search has begun." in text
    assert "leg " in text
    assert text.count('class="what"') >= 3
    assert "about " in text


def test_the_page_works_as_a_fragment_on_the_page_of_the_fault(browser: Client, way: Way) -> None:
    text = browser.get(where(way), headers={"HX-Request": "true"}).content.decode()
    assert "<h1" not in text
    assert "search-strip" in text
    whole = browser.get(reverse("faults:fault", args=[way.fault.ref])).content.decode()
    assert f'hx-get="{where(way)}"' in whole


def test_a_wire_that_cannot_be_searched_is_explained(browser: Client) -> None:
    station = make.station(run_length_ft=None)
    fault = make.fault(station)
    url = reverse("faults:where", args=[fault.ref, station.ref])
    assert "run length" in browser.get(url).content.decode()


def test_a_search_is_begun_with_what_is_at_hand(browser: Client, way: Way) -> None:
    url = reverse("faults:search_start", args=[way.fault.ref, way.station.ref])
    answer = browser.post(url, {"tools": ["distance"], "may_cut": "on"}, follow=True)
    assert "Measure the distance" in answer.content.decode()
    assert Search.objects.get(station=way.station).tools == ["distance"]


def test_a_box_test_is_kept_and_told(browser: Client, way: Way) -> None:
    search = begun(way)
    answer = record(
        browser,
        search,
        "box",
        point=way.points[1].pk,
        controller_bad="good",
        valve_bad="bad",
    )
    assert answer.status_code == 302
    text = browser.get(where(way)).content.decode()
    assert "controller side good, valve side bad" in text
    assert "have all but ruled out 200 ft of 600 ft" in text


def test_a_box_of_which_no_side_was_tested_keeps_what_was_typed(browser: Client, way: Way) -> None:
    answer = record(
        browser,
        begun(way),
        "box",
        point=way.points[1].pk,
        controller_bad="not tested",
        valve_bad="not tested",
    )
    assert answer.status_code == 422
    assert "Say what at least one side gave" in answer.content.decode()


def test_a_box_of_which_both_sides_are_good_asks_for_a_new_splice_and_keeps_what_it_did(
    browser: Client, way: Way
) -> None:
    search = begun(way)
    sides = {"controller_bad": "good", "valve_bad": "good"}
    record(browser, search, "box", point=way.points[1].pk, runs="no", **sides)
    assert search.readings.get().said["runs"] is False
    text = browser.get(where(way)).content.decode()
    assert "it does not run" in text


def test_volts_at_a_splice_are_kept_and_told(browser: Client, way: Way) -> None:
    search = begun(way)
    place = {"point": way.points[1].pk, "unloaded_bad": "not tested"}
    none = {"controller_bad": "not tested", "valve_bad": "not tested"}
    assert record(browser, search, "volts", **place, **none).status_code == 422
    record(browser, search, "volts", **place, controller_bad="good", valve_bad="bad")
    said = search.readings.get().said
    assert (said["controller_bad"], said["valve_bad"], said["unloaded_bad"]) == (False, True, None)
    assert "right before the splice, volts beyond it too low" in shown(browser, way)


def test_a_new_wire_and_a_farthest_place_are_kept_as_such(browser: Client, way: Way) -> None:
    search = begun(way)
    leg = {"leg": way.legs[0].pk, "conductor": "hot", "works": "no"}
    record(browser, search, "bypass", **leg)
    record(browser, search, "bypass", **leg, stays="yes")
    record(browser, search, "distance", feet="150", farthest="yes")
    jumper, wire, distance = (row.said for row in search.readings.order_by("pk"))
    assert ("stays" in jumper, wire["stays"], distance["is_farthest"]) == (False, True, True)
    text = shown(browser, way)
    assert "New wire in place of leg" in text
    assert "150 ft from the controller, at the farthest" in text


def shown(browser: Client, way: Way) -> str:
    return browser.get(where(way)).content.decode()


def test_a_level_needs_a_third_or_both_numbers(browser: Client, way: Way) -> None:
    search = begun(way)
    assert record(browser, search, "tone-level").status_code == 422
    assert record(browser, search, "tone-level", third="low").status_code == 302
    assert record(browser, search, "tone-level", level="3", on_sound_wire="9").status_code == 302


def test_a_distance_is_taken_in_the_units_of_the_property(browser: Client, way: Way) -> None:
    way.fault.property.units = "metric"
    way.fault.property.save()
    search = begun(way)
    record(browser, search, "distance", feet="100")
    assert search.readings.get().said["feet"] == pytest.approx(328.084, abs=0.01)


def test_tests_that_contradict_each_other_are_named(browser: Client, way: Way) -> None:
    for name in ("box_sensitivity", "box_specificity"):
        SearchNumber.objects.create(name=name, value=1.0, source="to the limit")
    SearchNumber.objects.create(name="box_swapped", value=0.0, source="to the limit")
    search = begun(way)
    for sides in ({"controller_bad": "good", "valve_bad": "bad"}, {"controller_bad": "bad"}):
        sides.setdefault("valve_bad", "good")
        record(browser, search, "box", point=way.points[1].pk, **sides)
    text = browser.get(where(way)).content.decode()
    assert "contradict each other" in text
    assert "nan" not in text.lower().replace("maintenance", "")


def test_a_test_at_a_box_that_is_off_the_wire_by_now_is_told_and_counts_for_nothing(
    browser: Client, way: Way
) -> None:
    search = begun(way)
    record(browser, search, "box", point=way.points[1].pk, controller_bad="good", valve_bad="bad")
    joined = make.leg(
        property=way.fault.property, from_point=way.points[0], to_point=way.points[2], length_ft=500
    )
    way.wire.legs.set([joined, way.legs[2]])
    text = browser.get(where(way)).content.decode()
    assert f"{way.points[1].name}: controller side good" in text
    assert "no longer has" in text
    assert "ruled out" not in text


def test_legs_without_length_are_refused_with_what_to_enter(browser: Client, way: Way) -> None:
    for leg in way.legs:
        leg.length_ft = 0
        leg.save()
    assert "have no length" in browser.get(where(way)).content.decode()


def test_a_voided_test_stays_in_view(browser: Client, way: Way) -> None:
    search = begun(way)
    row = make_searches.search_reading(search=search)
    url = reverse("faults:search_reading_void", args=[row.pk])
    assert browser.post(url, {"why": ""}).status_code == 422
    assert browser.post(url, {"why": "wrong coil"}).status_code == 302
    text = browser.get(where(way)).content.decode()
    assert "<s>The coil" in text
    assert "wrong coil" in text


def test_the_search_past_the_hours_allowed_says_so(browser: Client, way: Way) -> None:
    make.authority(property=way.fault.property, up_to_hours=1)
    begun(way, started_at=make.NOW - timedelta(hours=3))
    assert "were allowed" in browser.get(where(way)).content.decode()


def test_an_ended_search_says_how_and_can_be_taken_up_again(browser: Client, way: Way) -> None:
    search = begun(way)
    url = reverse("faults:search_finish", args=[search.ref])
    assert browser.post(url, {"outcome": "given up"}).status_code == 422
    answer = browser.post(url, {"outcome": "given up", "why": "too dry"}, follow=True)
    assert "The search ended: given up." in answer.content.decode()
    url = reverse("faults:search_go_on", args=[search.ref])
    assert "The search goes on" in browser.post(url, {"why": "rain"}, follow=True).content.decode()


def test_the_list_says_what_was_promised_and_what_it_took(browser: Client) -> None:
    for minutes in (30, 40, 50, 60, 70):
        make_searches.finished(expected_minutes=40.0, actual_minutes=minutes)
    text = browser.get(reverse("faults:searches")).content.decode()
    assert "the plan expected 40 minutes on average; they took 50. 3 took longer" in text


def test_numbers_are_set_with_their_source_by_who_may(client: Client, cast: Cast) -> None:
    client.force_login(cast.owner, backend="django.contrib.auth.backends.ModelBackend")
    url = reverse("faults:search_number", args=["tone_detects"])
    assert client.post(url, {"value": "1.5", "source": "a guess"}).status_code == 422
    assert client.post(url, {"value": "0.8", "source": "our own records"}).status_code == 302
    text = client.get(reverse("faults:search_numbers")).content.decode()
    assert "our own records" in text
    assert "1 is your own" in text
    url = reverse("faults:search_number_built_in", args=["tone_detects"])
    assert client.post(url).status_code == 302
    assert not SearchNumber.objects.exists()


@pytest.mark.parametrize("at", [0, 1, 2, 3])
def test_the_plan_beside_a_test_is_made_from_where_the_page_said(
    browser: Client, way: Way, at: int
) -> None:
    search = begun(way)
    point = way.points[at].pk
    state = state_of(way.fault, way.station, search, today=make.TODAY)
    index = state.ids.points.index(point)
    wanted = option_plain(state.options(Stand(at=index))[0], state.ids)
    url = reverse("faults:search_record", args=[search.ref, "distance"])
    data = {"taken_at": "2025-06-15T12:30", "feet": "100"}
    assert browser.post(f"{url}?stand={point}", data).status_code == 302
    assert search.readings.get().shown["option"] == wanted


@pytest.mark.parametrize("stand", ["", "?stand=", "?stand=here", "?stand=999999999"])
def test_where_the_page_says_nothing_usable_it_is_the_controller(
    browser: Client, way: Way, stand: str
) -> None:
    search = begun(way)
    state = state_of(way.fault, way.station, search, today=make.TODAY)
    wanted = option_plain(state.options(Stand())[0], state.ids)
    url = reverse("faults:search_record", args=[search.ref, "distance"])
    data = {"taken_at": "2025-06-15T12:30", "feet": "100"}
    assert browser.post(url + stand, data).status_code == 302
    assert search.readings.get().shown["option"] == wanted


def test_where_the_tone_was_fed_is_kept_told_and_chosen_anew(browser: Client, way: Way) -> None:
    search = begun(way)
    start, end, fed = (way.points[i].pk for i in (1, 2, 0))
    given = {"point": start, "to_point": end, "conductor": "hot"}
    assert record(browser, search, "tone-walked", **given, fed_at=fed).status_code == 302
    assert record(browser, search, "tone-walked", **given, fed_at="").status_code == 302
    kept = list(search.readings.order_by("pk").values_list("said", flat=True))
    assert [said.get("fed_at") for said in kept] == [fed, None]
    text = browser.get(where(way)).content.decode()
    # Of the two walks one says it: in its line, and again for who hears the link that voids it.
    assert text.count(f"; fed at {way.points[0].name}") == 2
