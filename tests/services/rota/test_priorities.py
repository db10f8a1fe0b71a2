"""The priority that waiting proposes, with why; taken over or overruled by somebody, with a reason.

The edges stand in the engine's own tests; our own choice, no source.
"""

from datetime import UTC, datetime, time, timedelta

import pytest

from faults.models import Job, JobState
from faults.rota.services.priorities import (
    Proposed,
    Stood,
    counts_as,
    differing,
    proposals_of,
    set_job_priority,
)
from faults.work.services import UnableToPlan, change_job
from faults.work.services.told import facts_of
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_jobs
from tests.services.rota.test_suggesting import FIRST, asked, crew, made

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
NOON = datetime.combine(TODAY, time(12), UTC)


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
    found = made(office, asked(north, days=(FIRST,)))
    (left,) = found["left_out"]
    assert "weighs 1600 minutes: priority 2 (weighed as 3, which is proposed)" in left["weighs"]
    (raised,) = found["raised"]
    assert (raised["has"], raised["counts_as"], raised["why"]) == (2, 3, "reported 45 days ago")
    set_job_priority(job=one, priority=3, why="", by=office, today=TODAY)
    found = made(office, asked(north, days=(FIRST,)))
    (left,) = found["left_out"]
    assert "weighs 1600 minutes: priority 3, reported 45 days ago" in left["weighs"]
    assert found["raised"] == []
    # Who overruled it rules, up and down.
    set_job_priority(job=one, priority=4, why="the mayor asked", by=office, today=TODAY)
    (left,) = made(office, asked(north, days=(FIRST,)))["left_out"]
    assert "priority 4, reported 45 days ago" in left["weighs"]
    set_job_priority(job=one, priority=1, why="the client is away", by=office, today=TODAY)
    found = made(office, asked(north, days=(FIRST,)))
    (left,) = found["left_out"]
    assert "weighs 400 minutes: priority 1 (proposed: 3), reported" in left["weighs"]
    assert found["raised"] == []


def test_the_higher_one_counts_until_somebody_overrules(office: User) -> None:
    low, high = Proposed(1, "little"), Proposed(3, "long")
    one = job(45)
    assert (counts_as(one, low), counts_as(one, Proposed(2, "")), counts_as(one, high)) == (2, 2, 3)
    # Taken over, and then it waits longer still.
    set_job_priority(job=one, priority=3, why="", by=office, today=TODAY)
    assert (counts_as(one, low), counts_as(one, Proposed(4, "longer"))) == (3, 4)
    set_job_priority(job=one, priority=2, why="no hurry", by=office, today=TODAY)
    assert (counts_as(one, low), counts_as(one, high)) == (2, 2)
    # Changed with the job by somebody, it holds as well; by a program, it does not.
    for by, counts in ((office, 1), (None, 3)):
        other = job(45)
        facts = type(facts_of(other))(**{**vars(facts_of(other)), "priority": 1})
        change_job(job=other, facts=facts, by=by)
        other.refresh_from_db()
        assert (other.priority, other.priority_by) == (1, by)
        assert counts_as(other, high) == counts
        # Saved again without another priority, all stays.
        change_job(job=other, facts=facts, by=office)
        assert counts_as(other, high) == counts


def test_what_differs_is_listed_and_put_back(office: User) -> None:
    late, later, fine = job(45), job(8, priority=1), job(8)
    most = job(45, priority=1)
    found = differing(office, at=NOON)
    assert [each.job for each in found] == [most, late, later]
    assert [each.offer.priority for each in found] == [3, 3, 2]
    assert fine.priority == 2
    before = Stood.of(most)
    assert before == Stood(1, None, "", overrules=False) == Stood.read(before.kept())
    set_job_priority(job=most, priority=4, why="the mayor asked", by=office, today=TODAY)
    assert [each.job for each in differing(office, at=NOON)] == [late, later]
    against = Stood.of(most)
    assert against == Stood(4, office, "the mayor asked", overrules=True)
    assert Stood.read(against.kept()) == against
    back = {"priority": 1, "why": "taken back", "by": office, "today": TODAY}
    set_job_priority(job=most, before=before, **back)
    most.refresh_from_db()
    assert (most.priority, most.priority_by, most.priority_why) == (1, None, "")
    assert [each.job for each in differing(office, at=NOON)] == [most, late, later]
    assert most.history.latest().history_change_reason == "taken back"
    for state in (JobState.STARTED, JobState.DONE, JobState.WITHDRAWN):
        Job.objects.filter(pk=most.pk).update(state=state)
        assert most not in [each.job for each in differing(office, at=NOON)]
    with pytest.raises(UnableToPlan):
        set_job_priority(job=most, before=before, **back)
    assert differing(make.user(Role.TECHNICIAN), at=NOON) == []


def test_of_a_tray_that_is_too_long_those_that_weigh_least_are_left(
    office: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("faults.rota.services.gathering.MOST_JOBS", 2)
    north = crew("North", skill=1)
    plain = job(0, priority=2, skill_needed=3)
    late = job(45, priority=1, skill_needed=3)
    least = job(0, priority=1, skill_needed=3)
    found = made(office, asked(north, days=(FIRST,)))
    assert {each["job"] for each in found["left_out"]} == {plain.ref, late.ref}
    assert found["beyond"] == 1
    least.delete()
    assert made(office, asked(north, days=(FIRST,)))["beyond"] == 0
