"""A battery round from Due: what is due is ticked, and stands first on the phone."""

from datetime import timedelta

import pytest
from django.utils import timezone

from faults.models import FollowUp, FollowUpKind, Job
from faults.sheet.forms.rounds import battery_step
from sites.models import Device
from tests import make
from tests.cast import Cast, Corner
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db


def due(device: Device, *, days: int) -> FollowUp:
    """Raise a change of its batteries so many days from now."""
    day = timezone.localdate() + timedelta(days=days)
    return FollowUp.objects.create(
        property=device.property, kind=FollowUpKind.BATTERY, device=device, due_on=day
    )


def in_ground(ours: Corner, **given: str) -> Device:
    """Make a battery timer that runs a station of its own."""
    timer = make.device(property=ours.property, **given)
    make.stopgap(station=make.station(controller=ours.controller), device=timer)
    return timer


def test_one_tap_leads_from_due_to_a_round_with_what_is_due(cast: Cast, ours: Corner) -> None:
    late, today, coming, done = (in_ground(ours) for _ in range(4))
    due(late, days=-3)
    due(today, days=0)
    due(coming, days=1)
    finished = due(done, days=-9)
    finished.state, finished.done_on = "done", timezone.localdate()
    finished.save()
    browser = signed_in(cast.dispatcher)
    url = f"/properties/{ours.property.ref}/jobs/add/?kind=battery+round"
    assert url.replace("&", "&amp;") in browser.get("/due/").content.decode()
    form = browser.get(url).context["form"]
    assert sorted(form.fields["devices"].initial) == sorted([str(late.pk), str(today.pk)])
    other = browser.get(url.replace("battery+round", "station+walk")).context["form"]
    assert other.fields["devices"].initial == []


def test_who_may_not_plan_sees_no_round(cast: Cast, ours: Corner) -> None:
    due(make.device(property=ours.property), days=-3)
    page = signed_in(cast.technician).get("/due/").content.decode()
    assert "jobs/add/?kind=battery" not in page


def test_on_the_phone_what_is_due_stands_first(ours: Corner) -> None:
    first, second = in_ground(ours, name="AA"), in_ground(ours, name="ZZ")
    make.device(property=ours.property, name="gone")
    due(second, days=-1)
    due(first, days=2)
    job = Job(property=ours.property, kind="battery round", expected_minutes=60)
    job.save()
    rows = battery_step(job, timezone.localdate())["devices"]
    assert (rows[0]["name"], rows[0]["due"]) == ("ZZ", "due")
    assert {row["due"] for row in rows[1:]} == {""}
    assert "gone" not in {row["name"] for row in rows}
