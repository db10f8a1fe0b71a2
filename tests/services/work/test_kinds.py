"""Kinds of job: what each needs is data, and what opens ground is asked of the kind."""

from datetime import date, timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.events import SearchTime, SearchTimeAsked
from faults.locating.engines.minutes import Minutes
from faults.locating.services.minutes import answer_search_time
from faults.models import CauseSide, Fault, Job, JobKind, KindOfJob
from faults.models.kind import kind_facts
from faults.notices.services.book import dig_of
from faults.work.engines.kinds import REPAIRS, USUAL, WALKS, KindFacts
from faults.work.queries.jobs import devices_offered
from faults.work.queries.kinds import all_kinds
from faults.work.services import UnableToSend, bring_job_back, start_job, withdraw_job
from faults.work.services.clashes import clashes_of
from faults.work.services.defaults import facts_for, kind_for, search_time
from faults.work.services.kinds import UnableToChangeKind, change_kind
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import State, Subject
from faults.work.services.told import UnableToWork
from sites.kernel.engines.roles import Role
from tests import make, make_jobs, make_searches
from tests.services.work.scene import TODAY, Scene, assigned, planned, put_at

pytestmark = pytest.mark.django_db

VALVE_DIG = KindFacts(75, skill=2, people=2, gear="a box", opens_ground=True)


def states(job: Job) -> dict[Subject, State]:
    """Return how each line of readiness stands."""
    return {each.subject: each.state for each in readiness_of([job], today=TODAY)[job.pk].lines}


def test_every_kind_is_known_and_no_other() -> None:
    assert set(USUAL) == set(JobKind.values)
    assert set(JobKind.values) > REPAIRS | WALKS
    opening = {kind.value for kind, facts, _ in all_kinds() if facts.opens_ground}
    assert opening == {"dig and mend", "new wire", "leak"}
    assert not any(is_ours for _, _, is_ours in all_kinds())


def test_what_the_office_says_holds_for_new_jobs(scene: Scene) -> None:
    change_kind(kind="valve repair", facts=VALVE_DIG)
    assert kind_facts("valve repair") == VALVE_DIG
    told = facts_for(JobKind.VALVE, scene.fault)
    assert (told.expected_minutes, told.skill_needed, told.people_needed) == (75, 2, 2)
    assert told.equipment == "a box"
    assert {kind: is_ours for kind, _, is_ours in all_kinds()}[JobKind.VALVE]
    change_kind(kind="valve repair", facts=KindFacts(60))
    assert KindOfJob.history.count() == 2
    assert "multimeter" in facts_for(JobKind.VALVE, scene.fault).equipment


@pytest.mark.parametrize(
    ("kind", "facts", "words"),
    [
        ("dig and mend", KindFacts(150), "A dig opens ground"),
        ("coil", KindFacts(0), "at least one minute"),
        ("coil", KindFacts(30, people=0), "one person"),
        ("a party", KindFacts(30), "no such kind"),
    ],
)
def test_what_a_kind_cannot_be_is_refused(kind: str, facts: KindFacts, words: str) -> None:
    with pytest.raises(UnableToChangeKind, match=words):
        change_kind(kind=kind, facts=facts)
    assert not KindOfJob.objects.exists()


def test_a_kind_that_opens_ground_has_the_gate_of_a_dig(scene: Scene) -> None:
    job = assigned(scene, planned(scene, JobKind.LEAK, fault=None))
    assert job.digs()
    assert dig_of(job, start=make.NOW) is not None
    assert states(job)[Subject.NOTICE] is State.NOT_READY
    assert states(job)[Subject.SOIL] is not State.NOT_NEEDED
    with pytest.raises(UnableToWork, match="Nobody has agreed"):
        start_job(job=job, at=make.NOW, today=TODAY, by=scene.technician)
    walk = assigned(scene, planned(scene, JobKind.START_UP, fault=None))
    assert states(walk)[Subject.NOTICE] is states(walk)[Subject.SOIL] is State.NOT_NEEDED
    start_job(job=walk, at=make.NOW, today=TODAY, by=scene.technician)
    assert walk.state == "started"


def test_planned_jobs_follow_when_a_kind_opens_ground_and_started_ones_do_not(
    scene: Scene,
) -> None:
    waiting = planned(scene, JobKind.VALVE)
    under_way = make_jobs.started(kind=JobKind.VALVE)
    away = planned(scene, JobKind.VALVE)
    withdraw_job(job=away, why="later", **scene.how)
    change_kind(kind="valve repair", facts=VALVE_DIG)
    for job in (waiting, under_way, away):
        job.refresh_from_db()
    assert (waiting.digs(), under_way.digs(), away.digs()) == (True, False, False)
    bring_job_back(job=away)
    assert away.digs()
    change_kind(kind="valve repair", facts=KindFacts(60))
    waiting.refresh_from_db()
    assert not waiting.digs()


@pytest.mark.parametrize(
    ("side", "kind"),
    [
        (CauseSide.WIRE, JobKind.DIG),
        ("", JobKind.DIG),
        (CauseSide.VALVE, JobKind.VALVE),
        (CauseSide.ELSEWHERE, JobKind.CONTROLLER),
    ],
)
def test_what_was_found_is_proposed_as_what_it_is(scene: Scene, side: str, kind: JobKind) -> None:
    put_at(scene.fault, Stage.FOUND)
    scene.fault.cause_side = side
    scene.fault.save()
    assert kind_for(scene.fault) is kind
    put_at(scene.fault, Stage.REPORTED)
    assert kind_for(scene.fault) is JobKind.LOCATE


def test_a_repair_without_a_dig_asks_for_the_clients_yes(scene: Scene) -> None:
    job = planned(scene, JobKind.COIL)
    assert states(job)[Subject.CONSENT] is State.NOT_READY
    put_at(scene.fault, Stage.AGREED)
    assert states(job)[Subject.CONSENT] is State.READY
    assert states(job)[Subject.NOTICE] is State.NOT_NEEDED


def test_the_minutes_of_a_search_are_its_own(scene: Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    def told(fault: Fault, **_given: object) -> Minutes:
        assert fault == scene.fault
        return Minutes(mean=41.2, most_likely=30, nine_of_ten=95.0)

    monkeypatch.setattr("faults.locating.services.minutes.search_minutes", told)
    search = search_time(JobKind.LOCATE, scene.fault, TODAY)
    assert search == SearchTime(expected=45, nine_of_ten=95)
    assert facts_for(JobKind.LOCATE, scene.fault, search).expected_minutes == 45
    assert search_time(JobKind.DIG, scene.fault, TODAY) is None
    assert search_time(JobKind.LOCATE, None, TODAY) is None
    assert facts_for(JobKind.LOCATE, scene.fault, None).expected_minutes == 105


def test_a_promised_day_is_the_due_day_of_the_first_visit_only(scene: Scene) -> None:
    scene.fault.promised_on = TODAY + timedelta(days=2)
    assert facts_for(JobKind.LOCATE, scene.fault).due_on == scene.fault.promised_on
    assert facts_for(JobKind.DIG, scene.fault).due_on is None
    assert facts_for(JobKind.LOCATE).due_on is None
    late = planned(scene, facts={"due_on": facts_for(JobKind.LOCATE, scene.fault).due_on})
    with pytest.raises(UnableToSend, match="was to be made by"):
        assigned(scene, late, day=TODAY + timedelta(days=3))


def test_a_real_search_says_its_minutes_and_an_unknown_one_none(scene: Scene) -> None:
    put_at(scene.fault, Stage.WITHDRAWN)
    assert answer_search_time(SearchTimeAsked(scene.fault, TODAY)) is None
    fault = make_searches.way().fault
    found = answer_search_time(SearchTimeAsked(fault, TODAY))
    assert found is not None
    assert 5 <= found.expected <= found.nine_of_ten
    assert found.expected % 5 == found.nine_of_ten % 5 == 0
    assert search_time(JobKind.LOCATE, fault, TODAY) == found


def test_only_timers_in_the_ground_are_offered_with_their_stations(scene: Scene) -> None:
    place, (one, other) = scene.place, scene.stations
    here = make.device(property=place, name="T-01")
    gone = make.device(property=place, name="T-02")
    make.device(property=place, name="T-03")
    earlier = date(2025, 2, 1)
    make.stopgap(station=one, device=here)
    make.stopgap(station=other, device=gone, removed_on=earlier)
    make.stopgap(station=other, device=here, on=earlier)
    (offered,) = devices_offered(place)
    assert offered == here
    runs = [row.station for row in offered.in_ground]  # type: ignore[attr-defined]
    assert runs == [one, other]


def test_a_job_for_more_people_than_are_there_asks_for_a_reason(scene: Scene) -> None:
    job = planned(scene, facts={"people_needed": 3})
    with pytest.raises(UnableToSend, match="takes 3 people; 2 of North") as no:
        assigned(scene, job)
    assert no.value.field == "why"
    assigned(scene, job, why="the client's gardener helps")
    make_jobs.crew(*[make.user(Role.TECHNICIAN) for _ in range(3)], name="South")
    (words, elsewhere) = clashes_of([job], today=TODAY)[job.pk]
    assert words == "It takes 3 people; 2 of North are there."
    assert elsewhere == "Could take it that day: South (9 h free)."
    fits = assigned(scene, planned(scene, facts={"people_needed": 2}), day=TODAY + timedelta(1))
    assert clashes_of([fits], today=TODAY)[fits.pk] == []
