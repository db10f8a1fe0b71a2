"""A locate comes before what opens ground or mends: for which visits, and when that is kept.

Common practice, no source: nobody digs for a break that nobody located.
"""

from datetime import time, timedelta
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.models import Fault, Job, JobState, Symptom
from faults.work.services.board import board_of
from faults.work.services.clashes import clashes_of
from faults.work.services.forerunners import followers, forerunners, is_before, too_soon_words
from sites.kernel.engines.roles import Role
from tests import make, make_jobs

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def fault() -> Fault:
    return make.fault(make.station())


def job(fault: Fault, kind: str, **given: Any) -> Job:
    return make_jobs.job(fault=fault, kind=kind, **given)


def firsts(*jobs: Job) -> dict[int, set[int]]:
    return {key: {one.pk for one in some} for key, some in forerunners(jobs).items() if some}


def test_what_opens_ground_or_mends_waits_for_each_open_locate_of_its_fault(fault: Fault) -> None:
    locate, other = job(fault, "locate"), job(fault, "locate", state=JobState.STARTED)
    dig, coil = job(fault, "dig and mend"), job(fault, "coil")
    back, alone = job(fault, "return to central"), make_jobs.job(kind="coil")
    elsewhere = job(make.fault(make.station()), "coil")
    both = {locate.pk, other.pk}
    assert firsts(locate, dig, coil, back, alone, elsewhere) == {dig.pk: both, coil.pk: both}
    waiting = followers([locate, dig])
    assert {key: {one.pk for one in some} for key, some in waiting.items()} == {
        locate.pk: {dig.pk, coil.pk}
    }
    for state in (JobState.DONE, JobState.WITHDRAWN):
        Job.objects.filter(pk=locate.pk).update(state=state)
        assert firsts(coil) == {coil.pk: {other.pk}}
    Job.objects.filter(pk=other.pk).update(state=JobState.DONE)
    assert firsts(dig, coil) == {}


def test_once_the_fault_is_found_nothing_waits(fault: Fault) -> None:
    locate, coil = job(fault, "locate"), job(fault, "coil")
    for stage, waits in (
        (Stage.REPORTED, True),
        (Stage.SCHEDULED, True),
        (Stage.FOUND, False),
        (Stage.MENDED, False),
    ):
        Fault.objects.filter(pk=fault.pk).update(stage=stage)
        coil = Job.objects.select_related("fault").get(pk=coil.pk)
        assert (firsts(coil) == {coil.pk: {locate.pk}}) is waits


def test_a_repair_that_is_the_first_look_waits_for_nothing() -> None:
    for symptom, waits in ((Symptom.STAYS_ON, False), (Symptom.OPEN, True)):
        fault = make.fault(make.station(), symptom=symptom)
        locate, valve = job(fault, "locate"), job(fault, "valve repair")
        assert (firsts(valve) == {valve.pk: {locate.pk}}) is waits


def test_visits_to_other_stations_of_the_fault_do_not_wait() -> None:
    one = make.station()
    two = make.station(controller=one.controller)
    fault = make.fault(one, two)
    coil = job(fault, "coil", stations=[one])
    locate = job(fault, "locate", stations=[two])
    assert firsts(coil) == {}
    every = job(fault, "locate")
    shared = job(fault, "locate", stations=[one, two])
    assert firsts(coil) == {coil.pk: {every.pk, shared.pk}}
    assert firsts(job(fault, "coil")) != {}
    assert locate.pk not in {one.pk for one in forerunners([coil])[coil.pk]}


def test_before_by_day_crew_and_time(fault: Fault) -> None:
    north, south = make_jobs.crew(name="North"), make_jobs.crew(name="South")

    def before(first: dict[str, Any], second: dict[str, Any]) -> bool:
        given = {"expected_minutes": 60, "property": fault.property}
        return is_before(Job(kind="locate", **given, **first), Job(kind="coil", **given, **second))

    on = {"crew": north, "day": TODAY}
    assert before(on, {"crew": south, "day": TOMORROW})
    assert not before({"crew": south, "day": TOMORROW}, on)
    assert not before({}, on)
    assert not before(on, {})
    # One crew, one day: by their times where both have one.
    assert before(on, on)
    assert before({**on, "starts_at": time(9)}, on)
    assert before({**on, "starts_at": time(9)}, {**on, "starts_at": time(10)})
    assert not before({**on, "starts_at": time(10)}, {**on, "starts_at": time(9)})
    # Two crews, one day: to the minute at which the locate ends.
    there = {"crew": south, "day": TODAY}
    assert not before(on, there)
    assert before({**on, "starts_at": time(9)}, {**there, "starts_at": time(10)})
    assert not before({**on, "starts_at": time(9)}, {**there, "starts_at": time(9, 59)})


def test_the_job_and_the_board_say_so(fault: Fault) -> None:
    north = make_jobs.crew(make.user(Role.TECHNICIAN), name="North")
    locate, coil = job(fault, "locate"), job(fault, "coil", crew=north, day=TODAY)
    second = job(fault, "coil")
    words = f"Its locate ({locate}) has no day yet. Plan that first."
    assert words in clashes_of([coil], today=TODAY)[coil.pk]
    assert too_soon_words(second, [locate]) == []
    board = board_of(make.user(Role.OWNER), days=[TODAY, TOMORROW], today=TODAY)
    card = next(card for card in board.cards if card.job == coil)
    assert words in card.clashes
    assert words in card.against
    Job.objects.filter(pk=locate.pk).update(crew=north, day=TOMORROW)
    later = f"Its locate ({locate}) is on {TOMORROW}: this comes too soon. Move one of the two."
    assert later in clashes_of([coil], today=TODAY)[coil.pk]
    Job.objects.filter(pk=locate.pk).update(day=TODAY)
    assert not any("locate" in each for each in clashes_of([coil], today=TODAY)[coil.pk])
