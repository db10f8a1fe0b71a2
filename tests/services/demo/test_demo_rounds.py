"""The demo's rounds: one walk made with something left, the rest to come."""

import pytest

from faults.models import Fault, Round, RoundVisit
from faults.rounds.services.of_job import progress_of_job
from reports.demo.services.demo_rounds import TO_WALK, WALKED, WITH_A_SEASON, make_demo_rounds
from sites.kernel.engines.roles import Role
from tests import make, make_jobs

pytestmark = pytest.mark.django_db


def test_the_walk_leaves_three_stations_two_with_a_reason_and_finds_one_fault() -> None:
    for code in (WALKED, TO_WALK, *WITH_A_SEASON):
        clock = make.controller(property=make.place(code=code), name="A")
        for number in range(1, 7):
            make.station(controller=clock, number=number)
    hand = make.user(Role.TECHNICIAN)
    dispatcher, crew = make.user(Role.DISPATCHER), make_jobs.crew(hand)
    make_demo_rounds(
        by=dispatcher, hand=hand, at=make.NOW, today=make.TODAY, crew=crew, day=make.TODAY
    )
    assert Round.objects.count() == 3
    walked = RoundVisit.objects.get(property__code=WALKED).job
    assert walked is not None
    come, _visit = progress_of_job(walked)
    assert (come.done, come.total, walked.state) == (3, 6, "done")
    assert [each.left and each.left.why for each in come.left] == ["locked", "no time", None]
    assert list(come.faults) == [Fault.objects.get()]
    sent = RoundVisit.objects.get(property__code=TO_WALK).job
    assert sent is not None
    assert (sent.crew, sent.state) == (crew, "planned")
