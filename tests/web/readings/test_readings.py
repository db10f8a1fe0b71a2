"""Pages of readings: one, a check-up, a walk, the overview, and the distance methods."""

import pytest
from django.urls import reverse

from faults.models import Reading, WalkNote
from reports.off_central.charts import ohms_figure
from sites.kernel.engines.roles import Role
from sites.models import Wiring
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import fragment, open_page, send
from tests.web.readings.sound_station import Sound, at, make_sound

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

DAY = make.TODAY.isoformat()
OF_STATION = ["reading_add", "judge", "distances", "depth"]
OF_CONTROLLER = ["check_up", "walk"]


@pytest.fixture
def sound(ours: Corner) -> Sound:
    """Return a station with a registered route, on our client's property."""
    return make_sound(ours.property)


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


def test_the_worst_become_something_to_do_with_its_words_filled_in(
    cast: Cast, sound: Sound
) -> None:
    make.reading(station=sound.station, kind="insulation", value=0.05)
    page = open_page(cast.technician, at("readings", sound.clock))
    assert "Note something to do" in page.rows()[0][1]
    note = reverse("faults:due_note_at_station", args=[sound.station.ref])
    assert page.links["Note something to do"].startswith(note)
    offered = open_page(cast.technician, f"{note}?what=Look+again+at+the+wire+of+Rowan:1")
    assert offered.value("what") == "Look again at the wire of Rowan:1"


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
        "too high leak to earth Report a fault Note something to do",
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


def test_what_a_broken_wire_once_read_does_not_flatten_its_chart() -> None:
    days = [make.TODAY.replace(day=day) for day in (1, 2, 3)]
    figure = ohms_figure(days, [30.0, 210.0, 31.0], 30.0, None)
    measured, higher, _expected = figure["data"]
    assert list(measured["y"]) == [30.0, None, 31.0]
    assert (list(higher["y"]), higher["customdata"]) == ([45.0], [210.0])
