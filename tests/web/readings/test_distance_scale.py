"""The distance pages: the measured loop, the end, two sizes, another sound wire, the search."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from faults.models import Reading, ReadingKind, Search, SearchReading
from sites.wires.engines.copper import awg_ohms_per_kft
from tests import make, make_searches
from tests.cast import Cast, Corner
from tests.web.markup import Element
from tests.web.pages import Sheet, open_page, send
from tests.web.readings.sound_station import Sound, at, make_sound

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

R14, R16, R18 = (awg_ohms_per_kft(size) for size in (14, 16, 18))
# 100 ft of 180 ft, though of 16 AWG where 18 is registered.
TO_FAULT, LOOP = 100 * 2 * R16 / 1000, 180 * 2 * R16 / 1000
BOTH_ENDS = {"near_ohms": TO_FAULT + 6, "far_ohms": LOOP - TO_FAULT + 6, "loop_ohms": LOOP}


@pytest.fixture
def sound(ours: Corner) -> Sound:
    """Return a station with a registered route of 180 ft of 18 AWG, on our client's property."""
    return make_sound(ours.property)


def ask(cast: Cast, sound: Sound, method: str, **typed: Any) -> Sheet:
    given = {"length": 180, **typed}
    page = send(cast.technician, at("distance", sound.station, method), **given)
    assert page.status == 200, page.errors
    return page


def test_a_misread_size_moves_nothing_and_both_loops_are_told(cast: Cast, sound: Sound) -> None:
    page = ask(cast, sound, "both-ends", **BOTH_ENDS)
    assert "100 ft from the controller, give or take" in page.words
    # 180 ft of 16 and 16 are 1.45 ohm, of the registered 18 and 18 2.30 ohm.
    assert (
        "The loop reads 1.45 Ω, but by the registered sizes and lengths it is 2.30 Ω" in page.words
    )
    assert "measured loop sets the scale" in page.words


def test_a_loop_as_registered_is_not_remarked_on(cast: Cast, sound: Sound) -> None:
    loop = 180 * 2 * R18 / 1000
    page = ask(cast, sound, "both-ends", near_ohms=loop / 2, far_ohms=loop / 2, loop_ohms=loop)
    assert "90 ft from the controller" in page.words
    assert "by the registered sizes" not in page.words


def test_a_measured_loop_needs_no_registered_size(cast: Cast, ours: Corner) -> None:
    url = at("distance", ours.on_central, "both-ends")
    page = send(cast.technician, url, length=180, **BOTH_ENDS)
    assert "100 ft from the controller" in page.words
    assert "by the registered sizes" not in page.words


def test_a_sound_loop_sets_the_scale_of_one_end_too(cast: Cast, sound: Sound) -> None:
    without = ask(cast, sound, "short", ohms=TO_FAULT)
    assert "63 ft from the controller" in without.words
    page = ask(cast, sound, "short", ohms=TO_FAULT, loop_ohms=LOOP)
    assert "100 ft from the controller" in page.words
    assert "take it as the farthest place" in page.words


def test_a_short_at_the_valve_is_the_valve_and_says_what_was_read(cast: Cast, sound: Sound) -> None:
    page = ask(cast, sound, "short", ohms=190 * 2 * R18 / 1000)
    assert "180 ft from the controller, give or take" in page.words
    assert "put it 10 ft beyond the valve" in page.words
    assert "That is leg b, 80 ft on from box towards north valve." in page.words


def test_measured_at_the_valve_it_is_told_from_there_and_found_on_the_route(
    cast: Cast, sound: Sound
) -> None:
    page = ask(cast, sound, "short", ohms=30 * 2 * R18 / 1000, end="valve")
    assert "30 ft from the valve, give or take" in page.words
    assert "That is leg b, 50 ft on from box towards north valve." in page.words


def test_a_distance_from_the_valve_is_kept_as_one_from_the_controller(
    cast: Cast, sound: Sound
) -> None:
    ask(cast, sound, "short", ohms=30 * 2 * R18 / 1000, end="valve", keep="yes")
    kept = Reading.objects.get(kind=ReadingKind.DISTANCE)
    assert kept.value == pytest.approx(150, abs=0.1)


def test_murray_over_two_sizes(cast: Cast, sound: Sound) -> None:
    # 100 ft of 18 and 80 ft of 14 out, 180 ft of 18 back; the fault 40 ft into the second.
    loop = 280 * R18 + 80 * R14
    typed = {
        "faulty_arm": 100 * R18 + 40 * R14,
        "sound_arm": loop - 100 * R18 - 40 * R14,
        "changes_at": 100,
        "second_size": "14 AWG",
    }
    page = ask(cast, sound, "murray", **typed)
    assert "140 ft from the controller" in page.words
    # From the valve the same wire is walked the other way round.
    typed |= {"faulty_arm": 40 * R14, "sound_arm": loop - 40 * R14, "end": "valve"}
    assert "40 ft from the valve" in ask(cast, sound, "murray", **typed).words


def test_murray_over_another_sound_wire_than_the_common(cast: Cast, sound: Sound) -> None:
    # Back along 250 ft of 14 AWG; the fault at 120 ft.
    loop = 180 * R18 + 250 * R14
    arms = {"faulty_arm": 120 * R18, "sound_arm": loop - 120 * R18}
    page = ask(cast, sound, "murray", **arms, common_size="14", return_length=250)
    assert "120 ft from the controller" in page.words
    assert "a sound wire of size 14." in page.words


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"changes_at": 100}, "second_size", "in which size the wire goes on"),
        ({"second_size": "14"}, "changes_at", "where this size begins"),
        ({"changes_at": 180, "second_size": "14"}, "changes_at", "between the two ends"),
        ({"changes_at": 0, "second_size": "14"}, "changes_at", "above 0"),
        ({"common_size": "thick"}, "common_size", "14 AWG or 2.5 mm2"),
        ({"return_length": 0}, "return_length", "above 0"),
    ],
)
def test_half_a_change_of_size_is_refused_beside_its_field(
    cast: Cast, sound: Sound, typed: dict[str, Any], field: str, words: str
) -> None:
    url = at("distance", sound.station, "murray")
    page = send(cast.technician, url, length=180, sound_arm=210, faulty_arm=150, **typed)
    assert page.status == 422
    assert any(words in error for error in page.errors), page.errors
    assert page.value(field) == str(typed.get(field, ""))


def test_varley_balanced_twice_needs_no_loop(cast: Cast, sound: Sound) -> None:
    loop = 180 * 2 * R18 / 1000
    x = 150 * R18 / 1000
    page = ask(
        cast,
        sound,
        "varley-twice",
        sound_arm=10,
        faulty_arm=20,
        loop_dial_ohms=2 * loop,
        dial_ohms=(20 * loop - 30 * x) / 10,
    )
    assert "150 ft from the controller" in page.words


@pytest.mark.parametrize("length", [180, ""])
def test_three_readings_tell_the_place_and_the_runs_length(
    cast: Cast, sound: Sound, length: Any
) -> None:
    a, b, fault = 150 * 2 * R18 / 1000, 30 * 2 * R18 / 1000, 6.0
    typed = {"open_ohms": a + fault, "joined_ohms": a + fault * b / (fault + b)}
    page = ask(cast, sound, "three-readings", length=length, far_ohms=b + fault, **typed)
    assert "150 ft from the controller" in page.words
    is_known = length != ""
    assert ("The whole run is then about 180 ft long." in page.words) is not is_known
    assert ("Computed with a hot wire of size 18" in page.words) is not is_known
    assert ("The measured loop sets the scale" in page.words) is is_known


@pytest.mark.parametrize(
    ("method", "words"),
    [
        ("varley-twice", "bridge sound wire faulty wire joined"),
        ("three-readings", "Ω common faulty wire Ω open, then joined"),
    ],
)
def test_the_sketch_shows_what_is_joined_and_what_is_read(
    cast: Cast, sound: Sound, method: str, words: str
) -> None:
    page = open_page(cast.technician, at("distance", sound.station, method))
    (sketch,) = [each for each in page.tree.find("svg") if "sketch" in each.classes]
    assert set(words.split()) <= set(sketch.words.split())


def button(page: Sheet) -> Element | None:
    forms = [each for each in page.tree.find("form") if "/record/" in str(each.attributes)]
    return forms[0] if forms else None


def begin_search(sound: Sound) -> Search:
    fault = make.fault(sound.station, property=sound.clock.property)
    return make_searches.search(fault=fault, station=sound.station, started_at=make.NOW)


def take_into_search(cast: Cast, page: Sheet) -> Sheet:
    form = button(page)
    assert form is not None
    hidden = {each.attributes["name"]: each.attributes["value"] for each in form.find("input")}
    return send(cast.technician, form.attributes["action"], **hidden)


@pytest.mark.parametrize("end", ["", "valve"])
def test_one_tap_takes_the_answer_into_the_search(cast: Cast, sound: Sound, end: str) -> None:
    search = begin_search(sound)
    # 5 % of 120 ft are its error.
    page = ask(cast, sound, "capacitance", broken_nf=12, sound_nf=18, end=end)
    after = take_into_search(cast, page)
    assert after.status == 200, after.errors
    said = SearchReading.objects.get(search=search).said
    assert said["feet"] == pytest.approx(120)
    assert (said["sd_ft"], said["sd_share"]) == (pytest.approx(6), 0)
    assert said["from_valve"] is (end == "valve")
    assert "Where is it broken" in after.heading


def test_a_metric_answer_arrives_in_feet(cast: Cast, sound: Sound) -> None:
    place = sound.clock.property
    place.units = "metric"
    place.save()
    search = begin_search(sound)
    page = ask(cast, sound, "capacitance", length=54.864, broken_nf=12, sound_nf=18)
    take_into_search(cast, page)
    said = SearchReading.objects.get(search=search).said
    assert said["feet"] == pytest.approx(120, abs=0.02)
    assert said["sd_ft"] == pytest.approx(6, abs=0.02)


def test_off_the_registered_wire_it_is_refused_and_what_was_computed_stays(
    cast: Cast, sound: Sound
) -> None:
    search = begin_search(sound)
    page = ask(cast, sound, "capacitance", length=900, broken_nf=12, sound_nf=18)
    after = take_into_search(cast, page)
    assert after.status == 422
    assert any("600 ft lies beyond the end of this wire (180 ft)" in e for e in after.errors)
    assert (after.value("feet"), after.value("spread")) == ("600.0", "30.0")
    assert not SearchReading.objects.filter(search=search).exists()


def test_pressed_twice_it_is_one_test(cast: Cast, sound: Sound) -> None:
    search = begin_search(sound)
    page = ask(cast, sound, "capacitance", broken_nf=12, sound_nf=18)
    take_into_search(cast, page)
    take_into_search(cast, page)
    assert SearchReading.objects.filter(search=search).count() == 1


def test_an_upper_bound_is_counted_as_the_farthest_place(cast: Cast, sound: Sound) -> None:
    search = begin_search(sound)
    page = ask(cast, sound, "short", ohms=1.0)
    assert "the search counts it as the farthest place" in page.words
    take_into_search(cast, page)
    said = SearchReading.objects.get(search=search).said
    assert (said["kind"], said["is_farthest"]) == ("distance", True)


def test_a_place_is_not_counted_as_the_farthest(cast: Cast, sound: Sound) -> None:
    search = begin_search(sound)
    take_into_search(cast, ask(cast, sound, "capacitance", broken_nf=12, sound_nf=18))
    assert "is_farthest" not in SearchReading.objects.get(search=search).said


def test_without_a_search_that_goes_on_there_is_nothing_to_count_it_in(
    cast: Cast, sound: Sound
) -> None:
    ended = begin_search(sound)
    ended.ended_at, ended.outcome = make.NOW + timedelta(minutes=5), "given up"
    ended.save()
    page = ask(cast, sound, "capacitance", broken_nf=12, sound_nf=18)
    assert button(page) is None
    assert "search of this wire" not in page.words


def test_another_stations_search_takes_nothing(cast: Cast, sound: Sound) -> None:
    make_searches.search()
    page = ask(cast, sound, "capacitance", broken_nf=12, sound_nf=18)
    assert button(page) is None


def test_the_page_of_a_distance_test_leads_to_the_methods(cast: Cast, sound: Sound) -> None:
    search = begin_search(sound)
    words = "Compute it from ohms, capacitance or an echo"
    for kind, is_there in (("distance", True), ("check", False)):
        page = open_page(cast.technician, reverse("faults:search_record", args=[search.ref, kind]))
        assert (page.links.get(words) == at("distances", sound.station)) is is_there


def test_the_page_opens_with_its_wire_fields_shut(cast: Cast, sound: Sound) -> None:
    url = at("distance", sound.station, "murray")
    (details,) = open_page(cast.technician, url).tree.find("details")
    assert "open" not in details.attributes
    assert "Registered: 18" in details.words
