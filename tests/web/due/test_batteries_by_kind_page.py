"""How an old battery set was is asked where a set is changed, and shown by kind with the rules."""

from datetime import date

import pytest
from django.urls import reverse

from faults.due.services.battery_words import battery_words
from sites.stopgaps.engines.battery_life import Effect, Fit, Fits
from tests.cast import Cast, Corner
from tests.web.fault_scene import TODAY
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_an_old_set_that_was_empty_teaches_its_kind(cast: Cast, ours: Corner) -> None:
    rules = reverse("faults:follow_up_rules")
    assert "Nobody has said yet" in open_page(cast.owner, rules).panel("by-kind")
    device = ours.property.devices.get()
    device.battery_changed_on, device.battery_kind = date(2025, 3, 7), "AA"
    device.save()
    url = reverse("sites:device_battery", args=[device.ref])
    told = {"what": "changed", "on": TODAY, "kind": "AA", "found": "empty"}
    sheet = send(cast.technician, url, **told)
    assert sheet.messages == ["The new set is recorded, for all its valves."]
    assert "empty" in sheet.panel("batteries")
    # 100 days, found empty, beside a rule of 180: see the engine's own test.
    page = open_page(cast.owner, rules)
    assert page.rows("by-kind") == [["aa", "1", "1", "116"]]
    assert "Twice the hours of watering: not known" in page.words


@pytest.mark.parametrize(
    ("effect", "words"),
    [
        (Effect(), "not known, nobody said what any of these sets had to do"),
        (Effect(1, 0.0), "not known, one set shows nothing"),
        (Effect(3, 0.0), "not known, the 3 sets of which it is known had it alike"),
        (Effect(3, 0.0, -0.2231), "20 % shorter, from 3 sets of which it is known"),
        (Effect(2, 0.0, 0.2231), "25 % longer, from 2 sets of which it is known"),
        (Effect(2, 0.0, 0.004), "no difference, from 2 sets of which it is known"),
        (Effect(2, 0.0, -0.006), "1 % shorter, from 2 sets of which it is known"),
    ],
)
def test_what_use_and_cold_do_is_said_with_how_much_is_known(effect: Effect, words: str) -> None:
    kinds = {"aa": Fit(1, 1, 100)}
    assert battery_words(Fits(kinds, use=effect))[0] == f"Twice the hours of watering: {words}."
    assert battery_words(Fits(kinds, cold=effect))[1].endswith(f"without any: {words}.")
    assert battery_words(Fits({}, use=effect)) == []
