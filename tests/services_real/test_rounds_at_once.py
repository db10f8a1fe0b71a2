"""Processes that plan rounds at the same moment on PostgreSQL: one plans, nothing is due twice.

Our own rule, no source. Each waits for the same row until the test lets go of it, so that they
truly meet.
"""

from uuid import uuid4

import pytest

from tests.databases import create_from_template
from tests.services_real.needs import wait_until
from tests.services_real.processes import WAITING, ended, held, rows, said, started

pytestmark = pytest.mark.service

# Two rounds over two properties each; one is named first.
ROUNDS = """
from tests import make, make_rounds
for name in ("first", "second"):
    places = [make.place(code=f"{name} {n}") for n in (1, 2)]
    for place in places:
        make.station(controller=make.controller(property=place))
    make_rounds.round_over(*places, name=name)
"""
BY_SERVICE = """
from faults.rounds.services.planning import plan_rounds_ahead
from tests import make
print("planned", plan_rounds_ahead(at=make.NOW, go_on=lambda: None)["planned"])
"""
BY_DISPATCHER = """
from faults.models import Round
from faults.rounds.services.told import UnableToPlanRound
from tests import make_rounds
try:
    print("planned", len(make_rounds.planned(Round.objects.get(name="first"))))
except UnableToPlanRound as refused:
    print("refused", refused)
"""
VISITS = """
SELECT r.name, p.code, count(*) FROM faults_roundvisit v JOIN faults_round r ON r.id = v.round_id
JOIN sites_property p ON p.id = v.property_id GROUP BY 1, 2 ORDER BY 1, 2
"""
ROUND = "SELECT 1 FROM faults_round WHERE name = '%s' FOR UPDATE"
FIRST, SECOND = ([(name, f"{name} {n}", 1) for n in (1, 2)] for name in ("first", "second"))


def _jobs(url: str) -> tuple[object, ...]:
    """All jobs, and those that a visit names: none may be left over from a plan that lost."""
    asked = (
        "SELECT (SELECT count(*) FROM faults_job), count(DISTINCT job_id) FROM faults_roundvisit"
    )
    return rows(url, asked)[0]


@pytest.fixture
def url(postgres_url: str) -> str:
    address = create_from_template(postgres_url, f"rounds_{uuid4().hex[:12]}")
    said(started(address, ROUNDS))
    return address


def test_of_two_services_each_visit_is_planned_by_one(url: str) -> None:
    with held(url, ROUND % "first", waiting=2):
        both = [started(url, BY_SERVICE) for _ in range(2)]
    with ended(*both):
        counts = [int(said(each).removeprefix("planned ")) for each in both]
    # Who comes second at one round may come first at the next: never more than all of them.
    assert sum(counts) == 4
    assert all(count in (0, 2, 4) for count in counts), "a round is planned whole by one"
    assert rows(url, VISITS) == [*FIRST, *SECOND]
    assert _jobs(url) == (4, 4)


def test_of_two_dispatchers_one_plans_and_one_is_told(url: str) -> None:
    with held(url, ROUND % "first", waiting=2):
        both = [started(url, BY_DISPATCHER) for _ in range(2)]
    with ended(*both):
        told, planned = sorted((said(each) for each in both), reverse=True)
    assert planned == "planned 2"
    assert told == "refused Nothing of this round begins by then that is not planned already."
    assert rows(url, VISITS) == FIRST
    assert _jobs(url) == (2, 2)


def test_one_that_is_killed_leaves_whole_rounds_and_the_next_plans_the_rest(url: str) -> None:
    with held(url, ROUND % "second", waiting=1):
        cut_off = started(url, BY_SERVICE)
        with ended(cut_off):
            wait_until(lambda: rows(url, VISITS) == FIRST, what="the first round", seconds=60)
            wait_until(lambda: rows(url, WAITING) == [(1,)], what="a wait", seconds=60)
            cut_off.kill()
            assert cut_off.wait() == -9
        second = started(url, BY_SERVICE)
        assert rows(url, VISITS) == FIRST
    with ended(second):
        assert said(second) == "planned 2"
    assert rows(url, VISITS) == [*FIRST, *SECOND]
    assert _jobs(url) == (4, 4)
