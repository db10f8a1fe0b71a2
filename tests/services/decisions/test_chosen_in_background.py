"""Of many legs the best set is chosen by a run, kept, and asked again once a number changes."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.utils import timezone

from reports.decisions.services import choosing
from reports.decisions.services.choosing import RENEW_FIRST
from reports.decisions.services.weighing import Answer, Assumed, weigh_all
from reports.hotspots.services.ranking import look
from reports.hotspots.services.renewal_costs import Costs
from reports.summaries.services.summaries import TRY_AGAIN_AFTER, NotMadeYet
from sites.models import Run, RunState
from sites.runs.services import execute_run
from tests.services.hotspots.trunk import ALL, Trunk, trunk

pytestmark = pytest.mark.django_db

ASSUMED = Assumed(1000, 0, 0, {}, years=20, interest_percent=4, kept_percent=50, budget=1500)


@pytest.fixture
def line() -> Trunk:
    """Twelve legs, two of which are worth renewing."""
    made = trunk((100.0,) * 12)
    for leg, faults in ((2, 8), (5, 6)):
        for n in range(faults):
            made.struck(made.legs[leg], date(2021 + n // 4, 2 + n, 3))
    return made


def weighed(line: Trunk, **changes: float) -> Answer:
    costs = {line.place.pk: Costs(10, None, 200)}
    return weigh_all(look([line.place], ALL), replace(ASSUMED, costs=costs, **changes))


def told(answer: Answer) -> list[tuple[int, bool, float | None]]:
    return [(one.at, one.is_in, one.needs) for one in answer.legs]


@pytest.mark.parametrize("most", [2, 3])
def test_few_are_chosen_at_once(line: Trunk, monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    monkeypatch.setattr(choosing, "MOST_AT_ONCE", most)
    assert [one.row.name for one in weighed(line).inside] == ["T-3"]
    assert not Run.objects.exists()


def test_of_more_a_run_chooses_the_very_same(line: Trunk, monkeypatch: pytest.MonkeyPatch) -> None:
    at_once = weighed(line)
    monkeypatch.setattr(choosing, "MOST_AT_ONCE", 1)
    for _asked_again in range(2):
        with pytest.raises(NotMadeYet) as waiting:
            weighed(line)
    run = Run.objects.get(service=RENEW_FIRST)
    assert (waiting.value.run, waiting.value.heading) == (run, "The best set is being chosen")
    execute_run(run.pk)
    kept = weighed(line)
    assert told(kept) == [(at, is_in, pytest.approx(needs, abs=0.02) if needs else needs)
                          for at, is_in, needs in told(at_once)]  # fmt: skip
    assert kept.chosen.is_proven
    assert kept.cost == at_once.cost
    assert kept.chosen.worth == pytest.approx(at_once.chosen.worth, abs=0.02)


def test_a_number_that_changes_asks_anew(line: Trunk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choosing, "MOST_AT_ONCE", 1)
    with pytest.raises(NotMadeYet):
        weighed(line)
    execute_run(Run.objects.get().pk)
    assert len(weighed(line).inside) == 1
    with pytest.raises(NotMadeYet):
        weighed(line, budget=1500.01)
    line.struck(line.legs[5], date(2024, 3, 3))
    with pytest.raises(NotMadeYet):
        weighed(line)
    assert Run.objects.count() == 3


def test_one_that_failed_is_tried_again_after_a_while(
    line: Trunk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(choosing, "MOST_AT_ONCE", 1)
    with pytest.raises(NotMadeYet):
        weighed(line)
    for ago, runs in ((TRY_AGAIN_AFTER - timedelta(seconds=20), 1), (TRY_AGAIN_AFTER, 2)):
        Run.objects.update(state=RunState.FAILED, ended_at=timezone.now() - ago)
        with pytest.raises(NotMadeYet):
            weighed(line)
        assert Run.objects.count() == runs
