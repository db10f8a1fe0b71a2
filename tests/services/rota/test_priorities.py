"""The priority that waiting proposes, with why; taken over or overruled by somebody, with a reason.

The edges stand in the engine's own tests; our own choice, no source.
"""

from datetime import timedelta

import pytest

from faults.models import Job, JobState
from faults.rota.services.priorities import proposals_of, set_job_priority
from faults.work.services import UnableToPlan, change_job
from faults.work.services.told import facts_of
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs
from tests.services.rota.test_suggesting import FIRST, asked, crew, made

pytestmark = pytest.mark.django_db

TODAY = make.TODAY


@pytest.fixture
def office() -> User:
    return make.user(Role.DISPATCHER)


def job(days: int, **given: object) -> Job:
    """A locate of a fault that was reported so many days ago."""
    fault = make.fault(make.station(), reported_on=TODAY - timedelta(days=days))
    return make_jobs.job(fault=fault, **given)


def proposed(one: Job) -> tuple[int, str]:
    offer = proposals_of([one], today=TODAY)[one.pk]
    return offer.priority, offer.why


def test_from_days_and_from_a_promise() -> None:
    assert proposed(job(3)) == (1, "little waiting, little water, and no promise near")
    assert proposed(job(7)) == (2, "reported 7 days ago")
    late = job(45)
    assert proposed(late) == (3, "reported 45 days ago")
    late.fault.promised_on = TODAY + timedelta(days=1)
    late.fault.save()
    assert proposed(late) == (4, f"visit promised by {TODAY + timedelta(days=1)}")
    # Nobody reported a visit without a fault.
    assert proposed(make_jobs.job())[0] == 1


def test_taken_over_or_overruled_with_who_and_why(office: User) -> None:
    one = job(45)
    set_job_priority(job=one, priority=3, why="", by=office, today=TODAY)
    one.refresh_from_db()
    assert (one.priority, one.priority_by, one.priority_why) == (3, office, "reported 45 days ago")
    with pytest.raises(UnableToPlan, match=r"Proposed is 3 \(reported 45 days ago\)") as no:
        set_job_priority(job=one, priority=1, why=" ", by=office, today=TODAY)
    assert no.value.field == "why"
    assert Job.objects.get(pk=one.pk).priority == 3
    set_job_priority(job=one, priority=1, why="the client is away", by=office, today=TODAY)
    one.refresh_from_db()
    assert (one.priority, one.priority_why) == (1, "the client is away")
    assert one.history.latest().history_change_reason == "the client is away"
    for state in (JobState.DONE, JobState.WITHDRAWN):
        Job.objects.filter(pk=one.pk).update(state=state)
        with pytest.raises(UnableToPlan):
            set_job_priority(job=one, priority=1, why="x", by=office, today=TODAY)


def test_set_otherwise_nobody_stands_for_it_any_more(office: User) -> None:
    one = job(45)
    set_job_priority(job=one, priority=3, why="", by=office, today=TODAY)
    facts = facts_of(one)
    change_job(job=one, facts=facts)
    assert (one.priority_by, one.priority_why) == (office, "reported 45 days ago")
    change_job(job=one, facts=type(facts)(**{**vars(facts), "priority": 4}))
    assert (one.priority, one.priority_by, one.priority_why) == (4, None, "")


def test_a_suggestion_says_what_is_proposed_where_that_is_more(office: User) -> None:
    north = crew("North", skill=1)
    one = job(45, skill_needed=3)
    (left,) = made(office, asked(north, days=(FIRST,)))["left_out"]
    assert "priority 2 (proposed: 3), reported 45 days ago" in left["weighs"]
    set_job_priority(job=one, priority=3, why="", by=office, today=TODAY)
    (left,) = made(office, asked(north, days=(FIRST,)))["left_out"]
    assert "priority 3, reported 45 days ago" in left["weighs"]
    set_job_priority(job=one, priority=4, why="the mayor asked", by=office, today=TODAY)
    (left,) = made(office, asked(north, days=(FIRST,)))["left_out"]
    assert "priority 4, reported 45 days ago" in left["weighs"]
