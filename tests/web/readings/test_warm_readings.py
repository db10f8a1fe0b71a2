"""Pages of readings ask how warm the ground was, and say where that is assumed."""

import pytest
from django.urls import reverse

from faults.models import Reading
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import fragment, open_page, send
from tests.web.readings.sound_station import Sound, at, make_sound

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

DAY = make.TODAY.isoformat()


@pytest.fixture
def sound(ours: Corner) -> Sound:
    """Return a station with a registered route, on our client's property."""
    return make_sound(ours.property)


def test_the_grounds_temperature_is_asked_kept_and_used(cast: Cast, sound: Sound) -> None:
    url = at("reading_add", sound.station)
    assert "Ground temperature, °F" in open_page(cast.technician, url).words
    given = {"kind": "ohms", "value": "26", "taken_on": DAY, "temperature_f": "95"}
    page = send(cast.technician, url, **given)
    assert page.messages[0].startswith("Kept: ")
    assert Reading.objects.get(station=sound.station).temperature_f == 95
    shown = open_page(cast.technician, reverse("reports:station", args=[sound.station.ref]))
    assert "95 °F" in shown.panel("readings")
    key = f"ohms_{sound.station.pk}"
    words = {
        typed: fragment(
            cast.technician, f"{at('judge', sound.station)}?kind=ohms&{key}=31&{typed}"
        ).words
        for typed in ("temperature_f=68", "temperature_f=140")
    }
    assert words["temperature_f=68"] != words["temperature_f=140"]


def test_a_metric_property_asks_in_celsius(cast: Cast, sound: Sound) -> None:
    place = sound.clock.property
    place.units = "metric"
    place.save()
    url = at("check_up", sound.clock)
    assert "Ground temperature, °C" in open_page(cast.technician, url).words
    key = f"ohms_{sound.station.pk}"
    send(cast.technician, url, taken_on=DAY, temperature_f="25", **{key: "24"})
    assert Reading.objects.get(station=sound.station).temperature_f == pytest.approx(77)


def test_an_assumed_warmth_is_marked_and_can_be_set(cast: Cast, sound: Sound) -> None:
    for day in (1, 2):
        make.reading(station=sound.station, taken_on=make.TODAY.replace(day=day))
    url = reverse("reports:station", args=[sound.station.ref])
    words = open_page(cast.dispatcher, url).panel("readings")
    assert "2 readings have no temperature" in words
    edit = reverse("sites:property_edit", args=[sound.clock.property.ref])
    form = open_page(cast.dispatcher, edit)
    assert "Coldest ground of the year, °F" in form.words
    fields = {"time_zone": "UTC", "units": "US", "ground_coldest_f": "50"}
    assert send(cast.dispatcher, edit, **fields).status == 422
    assert send(cast.dispatcher, edit, **fields, ground_warmest_f="40").status == 422
    send(cast.dispatcher, edit, **fields, ground_warmest_f="76")
    sound.clock.property.refresh_from_db()
    assert sound.clock.property.ground_warmest_f == 76
    assert "usual warmth of their days is assumed" in open_page(cast.dispatcher, url).words
