"""A break that a phone recorded by mistake, taken back by the phone."""

import pytest

from faults.models import Break, Job
from faults.sheet.services.fault_items import undone_by
from sites.models import User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.services.sheet.sending import answers, send, thing

pytestmark = pytest.mark.django_db


@pytest.fixture
def tessa(cast: Cast) -> User:
    """The technician."""
    return cast.technician


@pytest.fixture
def job(ours: Corner, tessa: User) -> Job:
    """Her visit of today to our fault."""
    return make_jobs.job(fault=ours.fault, crew=make_jobs.crew(tessa), day=make.TODAY)


def test_a_break_found_by_mistake_is_taken_back(job: Job, tessa: User, cast: Cast) -> None:
    found = thing(job, "found", cause="rodent")
    back = thing(job, "found back", minute=1, of=found["id"])
    rows = send(cast.dispatcher, found, back)
    assert answers(rows) == ["accepted"] * 2
    assert job.fault is not None
    job.fault.refresh_from_db()
    assert (job.fault.stage, Break.objects.count()) == ("scheduled", 0)
    # Once more, from another phone: nothing is left to do.
    again = thing(job, "found back", minute=2, of=found["id"])
    assert answers(send(tessa, again)) == ["accepted"]
    (row,) = send(tessa, thing(job, "found back", of=back["id"]))
    assert "nothing to do" in row.why


def test_who_may_not_move_its_stations_back_is_refused_and_not_offered_it(
    job: Job, tessa: User, cast: Cast
) -> None:
    found = thing(job, "found", cause="rodent")
    (_kept, row) = send(tessa, found, thing(job, "found back", minute=1, of=found["id"]))
    assert (row.answer, Break.objects.count()) == ("refused", 1)
    assert "These may: dispatcher" in row.why
    assert "found" not in undone_by(job, tessa)
    assert undone_by(job, cast.dispatcher)["found"] == "found back"
