"""How an old battery set was is asked where a set is changed, and shown by kind with the rules."""

from datetime import date

import pytest
from django.urls import reverse

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
    assert open_page(cast.owner, rules).rows("by-kind") == [["aa", "1", "1", "116"]]
