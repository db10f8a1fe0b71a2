"""The page of a job says which priority its waiting proposes; who plans takes it over or not."""

from datetime import timedelta

import pytest
from django.urls import reverse

from faults.models import Job
from sites.kernel.engines.roles import Role
from sites.models import TickedAct
from tests import make, make_jobs
from tests.web.pages import open_page, send, signed_in

pytestmark = pytest.mark.django_db


def test_proposed_taken_over_and_overruled() -> None:
    office, technician = make.user(Role.DISPATCHER), make.user(Role.TECHNICIAN)
    fault = make.fault(make.station(), reported_on=make.TODAY - timedelta(days=45))
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(technician))
    page, part = (reverse(f"faults:{name}", args=[job.ref]) for name in ("job", "job_proposed"))
    url = reverse("faults:job_priority", args=[job.ref])
    assert part in str(open_page(office, page).html)
    words = open_page(office, part).words
    assert "Its waiting proposes 3: reported" in words
    assert "Take it over or overrule it" in words
    assert "overrule" not in open_page(technician, part).words
    form = open_page(office, url)
    assert "It has 2 now." in form.words
    assert form.value("priority") == "3"
    refused = send(office, url, priority="1", why="")
    assert "Say in a few words why it is another." in refused.words
    assert Job.objects.get().priority == 2
    send(office, url, priority="1", why="the client is away")
    assert f"set by {office}: the client is away" in open_page(office, page).words
    send(office, url, priority="3", why="")
    assert "As its waiting proposes: reported" in open_page(office, part).words


def test_many_are_taken_over_together_and_put_back_in_one() -> None:
    office = make.user(Role.DISPATCHER)
    reported = make.TODAY - timedelta(days=45)
    jobs = [
        make_jobs.job(fault=make.fault(make.station(), reported_on=reported)) for _n in range(3)
    ]
    url = reverse("faults:priorities")
    assert reverse("faults:priorities") in open_page(office, "/moves/board/").links.values()
    page = open_page(office, url)
    assert "3 planned jobs have another priority than their waiting proposes." in page.words
    client = signed_in(office)
    ticked = {"act": "job_as_proposed", "rows": [jobs[0].ref, jobs[1].ref], "back": url}
    answer = client.post(reverse("faults:priorities_many"), ticked, follow=True)
    assert "2 priorities taken over." in answer.content.decode()
    kept = Job.objects.order_by("pk").values_list("priority", "priority_by", "priority_overrules")
    assert list(kept.all()) == [(3, office.pk, False), (3, office.pk, False), (2, None, False)]
    assert "1 planned job has another priority" in open_page(office, url).words
    (act,) = TickedAct.objects.all()
    client.post(reverse("sites:ticked_act_take_back", args=[act.ref]))
    assert list(kept.all()) == [(2, None, False)] * 3
    # All that match, not those that are on the page alone.
    everything = {"act": "job_as_proposed", "rows": [jobs[0].ref], "all": "1", "back": url}
    client.post(reverse("faults:priorities_many"), {**everything, "sure": "1"})
    assert [one for one, _by, _against in kept.all()] == [3, 3, 3]
    assert "Each planned job has the priority" in open_page(office, url).words
    assert signed_in(make.user(Role.TECHNICIAN)).get(url).status_code == 403
