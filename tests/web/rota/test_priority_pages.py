"""The page of a job says which priority its waiting proposes; who plans takes it over or not."""

from datetime import timedelta

import pytest
from django.urls import reverse

from faults.models import Job
from sites.kernel.engines.roles import Role
from tests import make, make_jobs
from tests.web.pages import open_page, send

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
