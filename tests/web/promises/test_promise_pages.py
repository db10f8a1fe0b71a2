"""Promises on pages: from a fault to a promise with its words, and the list."""

from datetime import timedelta

import pytest

from faults.models import Fault, JobState, Promise
from sites.kernel.engines.roles import Role
from tests import make, make_due, make_jobs
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_from_a_fault_to_a_promise_and_its_words() -> None:
    owner, fault = make.user(Role.OWNER), make.fault(caller="Ann")
    page = open_page(owner, f"/faults/{fault.ref}/")
    assert page.links["Promise a day"] == f"/faults/{fault.ref}/promise/"
    client = signed_in(owner)
    form = client.get(f"/faults/{fault.ref}/promise/").context["form"]
    assert form.initial["said_to"] == "Ann"
    choice = form.fields["offer"].choices[1][0]
    assert choice.endswith("/8")
    url = f"/faults/{fault.ref}/promise/"
    answer = client.post(url, {"offer": choice, "said_to": "Ann"}, follow=True)
    given = Promise.objects.get()
    said = answer.content.decode()
    assert "Hello Ann," in said
    assert "Hola Ann:" in said
    assert f"all/{given.by_on.isoformat()}/8" == choice
    text = client.get("/promises/").content.decode()
    assert "not yet due" in text
    assert "Ann" in text


def test_a_client_sees_no_promises_and_a_technician_gives_none() -> None:
    fault = make.fault()
    given = make_due.promise(fault)
    client = signed_in(make.user(Role.CLIENT, client=fault.property.client))
    for url in ("/promises/", f"/promises/{given.ref}/", f"/faults/{fault.ref}/promise/"):
        assert client.get(url).status_code in (403, 404)
    technician = signed_in(make.user(Role.TECHNICIAN))
    assert technician.get(f"/promises/{given.ref}/").status_code == 200
    assert technician.get(f"/faults/{fault.ref}/promise/").status_code == 403


def test_a_station_with_its_own_visit_has_its_own_day_on_every_page() -> None:
    owner, one = make.user(Role.OWNER), make.station()
    other = make.station(controller=one.controller)
    fault = make.fault(one, other)
    for in_days, station in ((2, one), (12, other)):
        day = make.TODAY + timedelta(days=in_days)
        make_jobs.job(fault=fault, crew=make_jobs.crew(), day=day, stations=[station])
    client, url = signed_in(owner), f"/faults/{fault.ref}/promise/"
    choices = client.get(url).context["form"].fields["offer"].choices
    (choice, words) = next(each for each in choices if each[0].startswith(f"{other.ref}/"))
    assert words.startswith(f"Station {other}")
    assert str(choices[0][1]).startswith("All stations: by ")
    answer = client.post(url, {"offer": choice, "said_to": "Ann"}, follow=True)
    given = Promise.objects.get()
    assert given.station == other
    assert f"station {other}: promised by {given.by_on}" in answer.content.decode()
    promise = f"/promises/{given.ref}/"
    said = f"Station {other} promised by {given.by_on}, {given.tenths} times of ten, to Ann"
    for address in (f"/stations/{other.ref}/", f"/faults/{fault.ref}/"):
        assert open_page(owner, address).links[said] == promise
    assert promise not in open_page(owner, f"/stations/{one.ref}/").links.values()
    assert f"{fault}, {other}" in client.get("/promises/").content.decode()


def test_the_words_are_tried_on_faults_that_are_over_when_asked() -> None:
    owner = make.user(Role.OWNER)
    client = signed_in(owner)
    page = client.get("/promises/").content.decode()
    assert "?tried=1" in page
    assert "would have been" not in page
    page = client.get("/promises/?tried=1").content.decode()
    assert page.count("None whose day is known.") == 2
    for days in (2, 3):
        fault = make.fault(reported_on=make.TODAY - timedelta(days=30))
        ended = make.NOW - timedelta(days=20 + days)
        make_jobs.job(
            fault=fault,
            state=JobState.DONE,
            day=ended.date(),
            started_at=ended - timedelta(hours=1),
            ended_at=ended,
        )
        Fault.objects.filter(pk=fault.pk).update(stage="returned", closed_on=ended.date())
    page = client.get("/promises/?tried=1").content.decode()
    assert "2 faults." in page
    assert "At 8 times of ten: 2 of 2 would have been kept. Too few to tell." in page
