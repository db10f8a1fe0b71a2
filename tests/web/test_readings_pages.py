"""Pages of readings: one, a check-up, a walk, the overview, and the distance methods."""

from dataclasses import dataclass
from typing import Any

import pytest
from django.urls import reverse

from faults.models import Reading, ReadingKind, WalkNote
from sites.engines.roles import Role
from sites.models import Controller, Station, Wiring
from tests import make
from tests.cast import Cast, Corner
from tests.services.ground_verbs.yard import make_yard
from tests.web.pages import fragment, open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

DAY = make.TODAY.isoformat()
OF_STATION = ["reading_add", "judge", "distances", "depth"]
OF_CONTROLLER = ["check_up", "walk"]


@dataclass(frozen=True)
class Sound:
    """A station with a registered route of 180 ft of No. 18, and its controller."""

    station: Station
    clock: Controller


@pytest.fixture
def sound(ours: Corner) -> Sound:
    """Station 1 of the yard, on our client's property; it should read 46.3 ohm."""
    yard = make_yard(ours.property)
    for wire in (yard.w1, yard.common):
        wire.size = "18"
        wire.save()
    yard.first.coil_ohms = 44.0
    yard.first.save()
    return Sound(yard.first, yard.clock)


def at(name: str, row: Station | Controller, *more: str) -> str:
    """Return the address of a page about a station or a controller."""
    return reverse(f"faults:{name}", args=[row.ref, *more])


def addresses(sound: Sound) -> list[str]:
    """Return the address of every page on which readings are taken."""
    reading = make.reading(station=sound.station)
    return [
        *(at(name, sound.station) for name in OF_STATION),
        *(at(name, sound.clock) for name in OF_CONTROLLER),
        at("distance", sound.station, "murray"),
        reverse("faults:reading_void", args=[reading.pk]),
    ]


def test_a_technician_opens_each_page(cast: Cast, sound: Sound) -> None:
    every = [*addresses(sound), at("readings", sound.clock)]
    assert {url: open_page(cast.technician, url).status for url in every} == dict.fromkeys(
        every, 200
    )


def test_a_client_may_not_take_readings(cast: Cast, sound: Sound) -> None:
    assert {open_page(cast.client_user, url).status for url in addresses(sound)} == {403}


def test_a_client_reads_the_overview_without_its_verbs(cast: Cast, sound: Sound) -> None:
    page = open_page(cast.client_user, at("readings", sound.clock))
    assert page.status == 200
    assert "Check up the wires" not in page.links


def test_a_stranger_finds_no_overview(cast: Cast, sound: Sound) -> None:
    assert open_page(cast.outsider, at("readings", sound.clock)).status == 404


def test_who_may_take_readings_elsewhere_finds_nothing_here(cast: Cast, sound: Sound) -> None:
    elsewhere = make.user(Role.TECHNICIAN, property=make.place())
    assert {open_page(elsewhere, url).status for url in addresses(sound)} == {404}


def test_a_reading_is_judged_as_it_is_kept(cast: Cast, sound: Sound) -> None:
    url = at("reading_add", sound.station)
    page = send(cast.technician, url, kind="ohms", value="OL", taken_on=DAY)
    assert page.messages[0].startswith("Kept: open.")
    assert Reading.objects.get(station=sound.station).entered_by == cast.technician


def test_a_value_that_no_meter_shows_is_kept_in_the_form(cast: Cast, sound: Sound) -> None:
    url = at("reading_add", sound.station)
    page = send(cast.technician, url, kind="ohms", value="plenty", taken_on=DAY)
    assert (page.status, page.value("value")) == (422, "plenty")
    assert "is not what a meter shows" in page.errors[0]


def test_a_day_to_come_is_refused_in_words(cast: Cast, sound: Sound) -> None:
    url = at("reading_add", sound.station)
    page = send(cast.technician, url, kind="ohms", value="44", taken_on="2025-06-16")
    assert (page.status, page.errors) == (422, ["This day has not come yet."])


def test_ohms_on_a_two_wire_path_are_refused_in_words(cast: Cast, sound: Sound) -> None:
    sound.clock.wiring = Wiring.TWO_WIRE
    sound.clock.save()
    url = at("reading_add", sound.station)
    page = send(cast.technician, url, kind="ohms", value="44", taken_on=DAY)
    assert page.status == 422
    assert "two-wire path" in page.errors[0]
    assert "two-wire path" in open_page(cast.technician, at("readings", sound.clock)).words


@pytest.mark.parametrize(
    ("value", "word"), [("46.3", "fine"), ("46,3", "fine"), ("ol", "open"), ("1.2k", "too high")]
)
def test_a_typed_value_is_judged_before_it_is_kept(
    cast: Cast, sound: Sound, value: str, word: str
) -> None:
    url = f"{at('judge', sound.station)}?kind=ohms&ohms_1={value}"
    assert fragment(cast.technician, url).words.startswith(word)
    assert not Reading.objects.filter(station=sound.station).exists()


def test_what_is_no_value_is_told_before_it_is_kept(cast: Cast, sound: Sound) -> None:
    url = f"{at('judge', sound.station)}?kind=ohms&ohms_1=many"
    assert "is not what a meter shows" in fragment(cast.technician, url).words


@pytest.mark.parametrize(
    ("value", "word"), [("50k", "leak"), ("0.05", "leak"), ("0.5M", "fine"), (">500", "fine")]
)
def test_insulation_is_typed_in_megohms_or_with_its_letter(
    cast: Cast, sound: Sound, value: str, word: str
) -> None:
    url = f"{at('judge', sound.station)}?kind=insulation&insulation_1={value}"
    assert fragment(cast.technician, url).words.startswith(word)


def test_a_comma_that_can_be_read_in_two_ways_is_asked_back(cast: Cast, sound: Sound) -> None:
    page = send(
        cast.technician, at("reading_add", sound.station), kind="ohms", value="1,200", taken_on=DAY
    )
    assert (page.status, page.value("value")) == (422, "1,200")
    assert "two ways" in page.errors[0]


def test_only_what_is_measured_can_be_judged(cast: Cast, sound: Sound) -> None:
    assert fragment(cast.technician, f"{at('judge', sound.station)}?kind=colour").status == 404


def test_a_new_coil_is_not_judged_by_the_old_one(cast: Cast, sound: Sound) -> None:
    make.reading(station=sound.station, value=39.0)
    url = at("reading_add", sound.station)
    page = send(cast.technician, url, kind="ohms", value="50", taken_on=DAY)
    assert page.messages[0].startswith("Kept: too high")
    page = send(cast.technician, url, kind="ohms", value="50", taken_on=DAY, is_new_coil="on")
    assert page.messages[0].startswith("Kept: fine")


def test_a_leak_stands_on_the_overview_with_a_way_to_report_it(cast: Cast, sound: Sound) -> None:
    _first, second = sound.clock.stations.order_by("number")
    make.reading(station=second, kind="insulation", value=0.05)
    page = open_page(cast.technician, at("readings", sound.clock))
    assert page.rows()[0][0].startswith("Rowan:2")
    assert "leak to earth" in page.rows()[0][1]
    assert "Report a fault" in page.rows()[0][1]
    make.fault(second)
    page = open_page(cast.technician, at("readings", sound.clock))
    assert "has an open fault" in page.rows()[0][1]


def test_nothing_typed_is_not_judged(cast: Cast, sound: Sound) -> None:
    url = f"{at('judge', sound.station)}?kind=ohms&ohms_1="
    assert fragment(cast.technician, url).words == ""


def test_a_reading_is_voided_with_a_reason(cast: Cast, sound: Sound) -> None:
    reading = make.reading(station=sound.station)
    url = reverse("faults:reading_void", args=[reading.pk])
    assert send(cast.technician, url, why="").status == 422
    stamp = open_page(cast.technician, url).value("stamp")
    page = send(cast.technician, url, why="wrong terminal", stamp=stamp)
    assert page.messages == ["The reading is voided. It stays in the history."]
    assert Reading.objects.get(pk=reading.pk).why_voided == "wrong terminal"


def test_a_check_up_keeps_what_is_filled_in(cast: Cast, sound: Sound) -> None:
    first = sound.station.pk
    url = at("check_up", sound.clock)
    fields = {f"ohms_{first}": "90", f"insulation_{first}": "0.05"}
    page = send(cast.technician, url, taken_on=DAY, **fields)
    assert page.messages == ["2 values kept; the worst stand first."]
    assert page.rows()[0][:3] == [
        "Rowan:1",
        "too high leak to earth Report a fault",
        "90.0 Ω",
    ]


def test_a_check_up_with_one_wrong_value_keeps_all_in_the_form(cast: Cast, sound: Sound) -> None:
    first, second = sound.clock.stations.order_by("number")
    url = at("check_up", sound.clock)
    fields = {f"ohms_{first.pk}": "44", f"ohms_{second.pk}": "many"}
    page = send(cast.technician, url, taken_on=DAY, **fields)
    assert (page.status, page.value(f"ohms_{first.pk}")) == (422, "44")
    assert page.value(f"ohms_{second.pk}") == "many"
    assert not Reading.objects.filter(station=first).exists()


def test_a_check_up_names_the_station_whose_value_cannot_be(cast: Cast, sound: Sound) -> None:
    first, second = sound.clock.stations.order_by("number")
    fields = {f"ohms_{first.pk}": "44", f"ohms_{second.pk}": "99m"}
    page = send(cast.technician, at("check_up", sound.clock), taken_on=DAY, **fields)
    assert page.status == 422
    assert page.errors[0].startswith("Rowan:2: enter a value")
    assert not Reading.objects.filter(station=first).exists()


def test_an_empty_check_up_is_refused(cast: Cast, sound: Sound) -> None:
    page = send(cast.technician, at("check_up", sound.clock), taken_on=DAY)
    assert (page.status, page.errors) == (422, ["Nothing is filled in yet."])


def test_a_walk_is_noted_and_shown_on_the_overview(cast: Cast, sound: Sound) -> None:
    fields = {f"result_{sound.station.pk}": "on timer", f"note_{sound.station.pk}": "in box"}
    page = send(cast.technician, at("walk", sound.clock), seen_on=DAY, **fields)
    assert page.messages == ["1 station noted."]
    assert WalkNote.objects.get().note == "in box"
    assert any("on timer" in row[-1] for row in page.rows())


def test_an_empty_walk_is_refused(cast: Cast, sound: Sound) -> None:
    page = send(cast.technician, at("walk", sound.clock), seen_on=DAY)
    assert (page.status, page.errors) == (422, ["No station is marked yet."])


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


def test_the_stations_page_tells_volts_and_that_the_output_is_not_known(
    cast: Cast, sound: Sound
) -> None:
    url = reverse("reports:station", args=[sound.station.ref])
    words = open_page(cast.technician, url).facts("readings")["Volts at the valve running alone"]
    assert words.startswith("about 23.4 V holding, 23.1 V starting from 24.0 V")
    assert "common practice" in words
    assert words.endswith("the controller's output was never measured")


def test_the_overview_tells_the_transformers_load(cast: Cast, sound: Sound) -> None:
    sound.clock.transformer_va, sound.clock.output_volts = 12.0, 26.0
    sound.clock.save()
    page = open_page(cast.technician, at("readings", sound.clock))
    assert page.facts("load")["One valve starting, one holding"].startswith("about 16.9 VA")
    assert "100 VA" in page.facts("load")["Guidance"]
    assert "more than the transformer" in page.panel("load")


def test_each_page_on_which_somebody_touches_the_wires_says_what_can_hurt(
    cast: Cast, sound: Sound
) -> None:
    # Mains side: our rule. 24 V wet: note 2 to tables 11(A) and 11(B) of the code book, 15 V where
    # wet contact is likely (found). Insulation: both ends free, the cable's rating (our rule).
    hurts = ["mains side", "24 V is not safe on wet skin"]
    leaks = ["only with both ends free", "no more volts than the cable is rated for"]
    for url, words in {
        at("reading_add", sound.station): [*hurts, *leaks],
        at("check_up", sound.clock): [*hurts, *leaks],
        at("distance", sound.station, "murray"): [*hurts, "Both ends free"],
        at("depth", sound.station): ["have utilities marked first", "expose by hand", "6 in"],
    }.items():
        page = open_page(cast.technician, url)
        assert [each for each in words if each not in page.words] == [], url


def test_a_tracer_finds_the_way_to_the_reading_pages(cast: Cast, sound: Sound) -> None:
    tracer = make.user(Role.TRACER, property=sound.clock.property)
    page = open_page(tracer, reverse("reports:station", args=[sound.station.ref]))
    assert "Take a reading" in page.links
    assert "Report a fault" not in page.links
