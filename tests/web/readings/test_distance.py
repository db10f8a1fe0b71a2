"""Pages that tell how far away and how deep a wire is broken."""

from typing import Any

import pytest

from faults.models import Reading, ReadingKind
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send
from tests.web.readings.sound_station import Sound, at, make_sound

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def sound(ours: Corner) -> Sound:
    """Return a station with a registered route, on our client's property."""
    return make_sound(ours.property)


# The yard's W1: leg a 100 ft to the box, leg b 80 ft on to the valve. No. 18 and No. 18 make
# 12.7698 ohm per 1000 ft of run, so 150 ft are 1.9155 ohm and the whole run 2.2986 ohm.
VALUES: dict[str, dict[str, Any]] = {
    "murray": {"sound_arm": 210.0, "faulty_arm": 150.0},
    "varley": {"loop_ohms": 2.2986, "sound_arm": 10, "faulty_arm": 10, "dial_ohms": 0.3832},
    "short": {"ohms": 1.9155},
    "both-ends": {"near_ohms": 7.9155, "far_ohms": 6.3831, "loop_ohms": 2.2986},
    "blavier": {"open_ohms": 7.9155, "joined_ohms": 2.2756, "loop_ohms": 2.2986},
    "capacitance": {"broken_nf": 15, "sound_nf": 18},
    "capacitance-both-ends": {"near_nf": 15, "far_nf": 3},
    "reflection": {"sound_ft": 300, "sound_us": 1.2, "fault_us": 0.6},
}


@pytest.mark.parametrize("method", VALUES)
def test_each_method_tells_feet_and_names_the_leg(cast: Cast, sound: Sound, method: str) -> None:
    url = at("distance", sound.station, method)
    page = send(cast.technician, url, length=180, **VALUES[method])
    assert page.status == 200, page.errors
    assert "150 ft from the controller, give or take" in page.words
    assert "That is leg b, 50 ft on from box towards north valve." in page.words


def test_a_distance_is_kept_as_a_reading_when_asked(cast: Cast, sound: Sound) -> None:
    url = at("distance", sound.station, "short")
    send(cast.technician, url, length=180, ohms=1.9155)
    assert not Reading.objects.filter(kind=ReadingKind.DISTANCE).exists()
    send(cast.technician, url, length=180, ohms=1.9155, keep="yes")
    kept = Reading.objects.get(kind=ReadingKind.DISTANCE)
    assert kept.value == pytest.approx(150, abs=0.1)
    assert kept.notes.startswith("Loop from one end, give or take")


@pytest.mark.parametrize(
    ("method", "given"),
    [
        ("short", {"ohms": 9}),
        ("murray", {"sound_arm": 0, "faulty_arm": 0}),
        ("varley", {"loop_ohms": 0, "sound_arm": 0, "faulty_arm": 0, "dial_ohms": 0}),
        ("both-ends", {"near_ohms": 1, "far_ohms": 1, "loop_ohms": 9}),
        ("blavier", {"open_ohms": 1, "joined_ohms": 9, "loop_ohms": 2}),
        ("capacitance", {"broken_nf": 30, "sound_nf": 18}),
        ("capacitance", {"broken_nf": 0, "sound_nf": 0}),
        ("capacitance-both-ends", {"near_nf": 0, "far_nf": 0}),
        ("reflection", {"sound_ft": 0, "sound_us": 0, "fault_us": 0}),
        ("reflection", {"sound_ft": 300, "sound_us": 1.2, "fault_us": 9}),
    ],
)
def test_readings_that_cannot_be_are_refused_in_words(
    cast: Cast, sound: Sound, method: str, given: dict[str, Any]
) -> None:
    page = send(cast.technician, at("distance", sound.station, method), length=180, **given)
    assert page.status == 422
    assert page.errors
    assert all(error.endswith(".") for error in page.errors), page.errors


def test_a_station_without_a_wire_says_what_to_enter(cast: Cast, ours: Corner) -> None:
    url = at("distance", ours.on_central, "short")
    page = send(cast.technician, url, length=180, ohms=1)
    assert page.status == 422
    assert "size of this station's wire is not registered" in page.errors[0]


def test_capacitance_needs_no_size_of_wire(cast: Cast, ours: Corner) -> None:
    url = at("distance", ours.on_central, "capacitance")
    page = send(cast.technician, url, length=180, broken_nf=9, sound_nf=18)
    assert "90 ft from the controller" in page.words
    assert "No route is registered" in page.words


def test_a_run_that_nobody_measured_is_left_empty(cast: Cast, ours: Corner) -> None:
    ours.on_central.run_length_ft = None
    ours.on_central.save()
    page = open_page(cast.technician, at("distance", ours.on_central, "short"))
    assert not page.value("length")


def test_a_distance_beyond_the_registered_route_names_no_leg(cast: Cast, sound: Sound) -> None:
    page = send(
        cast.technician, at("distance", sound.station, "short"), length=900, ground=68, ohms=6
    )
    assert "The registered route ends before that" in page.words


def test_cold_ground_puts_the_short_farther_away(cast: Cast, sound: Sound) -> None:
    # L1: 4.6 ohm on 18/18 are 360 ft at 20 C, and 375 ft at 10 C.
    url = at("distance", sound.station, "short")
    at_20_c, at_10_c = (
        send(cast.technician, url, length=900, ground=ground, ohms=4.6).words for ground in (68, 50)
    )
    assert "360 ft from the controller" in at_20_c
    assert "375 ft from the controller" in at_10_c


def test_a_metric_property_is_asked_and_answered_in_metres(cast: Cast, sound: Sound) -> None:
    place = sound.clock.property
    place.units = "metric"
    place.save()
    url = at("distance", sound.station, "capacitance")
    page = send(cast.technician, url, length=60, broken_nf=9, sound_nf=18)
    assert "30 m from the controller" in page.words
    page = send(
        cast.technician, at("depth", sound.station), left="45", right="45", antenna_height=0
    )
    assert "45 cm deep" in page.words


def test_a_method_that_does_not_exist_is_not_found(cast: Cast, sound: Sound) -> None:
    assert open_page(cast.technician, at("distance", sound.station, "guess")).status == 404


def test_depth_comes_from_offsets_to_both_sides(cast: Cast, sound: Sound) -> None:
    fields = {"left": "17 18", "right": "18 19", "antenna_height": 0}
    page = send(cast.technician, at("depth", sound.station), **fields)
    assert "18 in deep; nine times in ten between" in page.words


def test_unlike_sides_give_no_depth_and_say_why(cast: Cast, sound: Sound) -> None:
    fields = {"left": "1", "right": "2", "antenna_height": 0}
    page = send(cast.technician, at("depth", sound.station), **fields)
    assert page.status == 422
    assert page.errors[0].startswith("Left and right differ by 67 %: a neighbouring conductor")


def test_offsets_that_are_no_numbers_are_kept_in_the_form(cast: Cast, sound: Sound) -> None:
    fields = {"left": "left", "right": "1.5", "antenna_height": 0}
    page = send(cast.technician, at("depth", sound.station), **fields)
    assert (page.status, page.value("left")) == (422, "left")


# 12 in apart, so that 1.5 times as much below is 24 in from the lower height, 6 in above ground.
HEIGHTS = {"scale": "plain", "lower_height": 6, "upper_height": 18}


@pytest.mark.parametrize(
    "given",
    [
        {"lower_reading": 60, "upper_reading": 40},
        # 20 log 1.5 = 3.522 dB; decibels may lie below 0.
        {"scale": "dB", "lower_reading": -40, "upper_reading": -43.522},
    ],
)
def test_depth_comes_from_readings_at_two_heights(
    cast: Cast, sound: Sound, given: dict[str, Any]
) -> None:
    url = at("depth", sound.station) + "?by=heights"
    page = send(cast.technician, url, **(HEIGHTS | given))
    assert "18 in deep; nine times in ten between" in page.words
    assert "mark stands over the wire" not in page.words


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"lower_reading": 40, "upper_reading": 40}, "smaller one at the upper height"),
        ({"lower_reading": 40, "upper_reading": 60}, "smaller one at the upper height"),
        ({"lower_reading": 40, "upper_reading": 0}, "Type a value above 0."),
        ({"upper_height": 6, "lower_reading": 60, "upper_reading": 40}, "must be the larger one"),
        ({"lower_reading": 60, "upper_reading": 10}, "would not be above 0"),
        ({"scale": "dB", "lower_reading": 99999, "upper_reading": 0}, "would not be above 0"),
    ],
)
def test_two_heights_that_tell_no_depth_say_why_and_keep_what_was_typed(
    cast: Cast, sound: Sound, given: dict[str, Any], words: str
) -> None:
    url = at("depth", sound.station) + "?by=heights"
    page = send(cast.technician, url, **(HEIGHTS | given))
    assert page.status == 422
    assert any(words in error for error in page.errors)
    assert page.value("lower_reading") == str(given["lower_reading"])


def test_heights_of_a_metric_property_are_centimetres(cast: Cast, sound: Sound) -> None:
    sound.clock.property.units = "metric"
    sound.clock.property.save()
    fields = {"scale": "plain", "lower_height": 10, "upper_height": 50}
    url = at("depth", sound.station) + "?by=heights"
    page = send(cast.technician, url, **fields, lower_reading=1.5, upper_reading=1)
    assert "70 cm deep" in page.words
