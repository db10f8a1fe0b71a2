"""Renew first: which legs, within which money; what is decided, and what came of it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone

from faults.due.services.by_hand import finish_follow_up
from faults.models import FollowUp, FollowUpState
from reports.decisions.engines.renewing import look_back
from reports.decisions.services.deciding import (
    Known,
    UnableToDecide,
    UnableToTakeBackDecision,
    decide,
    take_back_decision,
)
from reports.decisions.services.knowing import known_of, seen_of
from reports.decisions.services.looking_back import looked_back
from reports.decisions.services.weighing import Answer, Assumed, LegWeighed, weigh_all
from reports.hotspots.services.ranking import look
from reports.hotspots.services.renewal_costs import Costs
from reports.models import Choice, Decision
from sites.kernel.engines.roles import Role
from sites.models import Cover, Leg, Renewal, User
from tests import make
from tests.services.hotspots.trunk import ALL, Trunk, trunk

pytestmark = pytest.mark.django_db

TODAY = timezone.localdate
COSTS = {"years": 20.0, "interest_percent": 4.0, "kept_percent": 50.0}
# Of one fault 1,000; of a foot 10, and 200 once for the property.
ASSUMED = Assumed(fault_cost=1000, fault_cost_se=0, fault_cost_sd=0, costs={}, **COSTS)
TEN_A_FOOT = Costs(10, None, 200)


@pytest.fixture
def line() -> Trunk:
    """Twelve legs, of which the third was struck eight times and the sixth four times."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3))
    for n in range(4):
        made.struck(made.legs[5], date(2021, 3 + n, 3))
    return made


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


def weighed(line: Trunk, **changes: Any) -> Answer:
    costs = {line.place.pk: changes.pop("costs", TEN_A_FOOT)}
    return weigh_all(look([line.place], ALL), replace(ASSUMED, costs=costs, **changes))


def names(legs: Sequence[LegWeighed]) -> list[str]:
    return [one.row.name for one in legs]


def test_the_worst_are_renewed_first_and_share_what_is_paid_once(line: Trunk) -> None:
    found = weighed(line)
    assert names(found.inside) == ["T-3", "T-6"]
    assert found.chosen.is_proven
    # Two legs of 100 ft at 10, and 200 once for the property.
    assert found.cost == pytest.approx(2200)
    gains = sum(one.found.gain for one in found.inside)
    assert found.chosen.worth == pytest.approx(gains - 200)


@pytest.mark.parametrize(
    ("budget", "legs"),
    [(2200, ["T-3", "T-6"]), (2199, ["T-3"]), (1200, ["T-3"]), (1199, [])],
)
def test_money_is_the_limit(line: Trunk, budget: float, legs: list[str]) -> None:
    assert names(weighed(line, budget=budget).inside) == legs


def test_what_is_not_in_says_from_which_gain_on_it_would_be(line: Trunk) -> None:
    found = weighed(line, budget=1200)
    (other,) = [one for one in found.outside if one.row.name == "T-6"]
    (best,) = found.inside
    assert other.needs == pytest.approx(best.found.gain)


def test_below_paving_a_foot_costs_more(line: Trunk) -> None:
    Leg.objects.filter(pk=line.legs[2].pk).update(cover=Cover.PAVING)
    found = {one.row.name: one for one in weighed(line, costs=Costs(10, 40, 200)).legs}
    assert (found["T-3"].leg.cost, found["T-6"].leg.cost) == (4000, 1000)
    same = {one.row.name: one for one in weighed(line).legs}
    assert same["T-3"].leg.cost == 1000


def test_dear_work_is_worth_nothing_and_only_what_failed_is_weighed(line: Trunk) -> None:
    found = weighed(line, costs=Costs(100_000, None, 200))
    assert (found.inside, found.chosen.worth) == ([], 0.0)
    assert sorted(names(found.legs)) == ["T-3", "T-6"]


def kept(line: Trunk, owner: User, **given: object) -> Decision:
    usual = {
        "leg": line.legs[2], "choice": Choice.RENEW.value, "why": "eight faults",
        "look_again_on": None, "known": Known(), "by": owner, "today": TODAY(),
    }  # fmt: skip
    return decide(**{**usual, **given})  # type: ignore[arg-type]


def known_on_the_day(line: Trunk, by: User, **costs: float | None) -> Known:
    seen = seen_of(line.legs[2], by=by, today=TODAY())
    return known_of(seen, past=None, **COSTS, **costs)  # type: ignore[arg-type]


def test_a_decision_keeps_who_when_why_and_what_was_known(line: Trunk, owner: User) -> None:
    known = known_on_the_day(line, owner, fault_cost=1000, renewal_cost=1000)
    made = kept(line, owner, known=known)
    (one,) = [each for each in weighed(line).legs if each.row.name == "T-3"]
    assert (made.decided_by, made.why, made.decided_on) == (owner, "eight faults", TODAY())
    assert made.shape == pytest.approx(one.leg.shape)
    assert made.chance_pays is not None
    assert 0.9 < made.chance_pays <= 1


def test_without_both_costs_only_the_rate_is_kept(line: Trunk, owner: User) -> None:
    known = known_on_the_day(line, owner, fault_cost=1000, renewal_cost=None)
    assert (known.chance_pays, known.fault_cost) == (None, 1000)
    assert known.shape


def test_a_day_to_look_again_falls_due_by_itself(line: Trunk, owner: User) -> None:
    day = TODAY() + timedelta(days=1)
    made = kept(line, owner, choice=Choice.NOT_NOW.value, look_again_on=day)
    due = FollowUp.objects.get()
    assert (due.due_on, due.property, due.state) == (day, line.place, FollowUpState.OPEN)
    assert str(made.leg) in due.what


def due(made: Decision) -> tuple[FollowUpState, date]:
    row = FollowUp.objects.get(cause=f"decision:{made.pk}")
    return FollowUpState(row.state), row.due_on


def test_only_the_decision_that_stands_is_looked_at_again(line: Trunk, owner: User) -> None:
    """A newer one takes the place of the reminder; taken back, the earlier one's comes back."""
    soon, late = TODAY() + timedelta(days=10), TODAY() + timedelta(days=20)
    old = kept(line, owner, choice=Choice.NOT_NOW.value, look_again_on=soon)
    other = kept(line, owner, leg=line.legs[5], look_again_on=soon)
    new = kept(line, owner, look_again_on=late)
    assert due(old) == (FollowUpState.LAPSED, soon)
    assert due(new) == (FollowUpState.OPEN, late)
    assert due(other) == (FollowUpState.OPEN, soon)
    take_back_decision(decision=new, why="wrong leg", today=TODAY())
    assert due(new) == (FollowUpState.LAPSED, late)
    assert due(old) == (FollowUpState.OPEN, soon)
    take_back_decision(decision=old, why="wrong too", today=TODAY())
    assert due(old) == (FollowUpState.LAPSED, soon)
    assert due(other) == (FollowUpState.OPEN, soon)


def test_a_decision_without_a_day_lets_the_earlier_ones_go_and_what_is_done_stays(
    line: Trunk, owner: User
) -> None:
    soon = TODAY() + timedelta(days=10)
    done = kept(line, owner, look_again_on=soon)
    finish_follow_up(follow_up=FollowUp.objects.get(), by=owner, today=TODAY())
    old = kept(line, owner, look_again_on=soon)
    kept(line, owner)
    assert due(done)[0] == FollowUpState.DONE
    assert due(old)[0] == FollowUpState.LAPSED


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"why": "  "}, "why"),
        ({"look_again_on": "today"}, "look_again_on"),
        ({"choice": Choice.NOT_NOW.value}, "look_again_on"),
    ],
)
def test_what_cannot_be_decided_is_refused(
    line: Trunk, owner: User, changes: dict[str, object], field: str
) -> None:
    if changes.get("look_again_on") == "today":
        changes = {**changes, "look_again_on": TODAY()}
    with pytest.raises(UnableToDecide) as refusal:
        kept(line, owner, **changes)
    assert refusal.value.field == field
    assert not Decision.objects.exists()
    assert not FollowUp.objects.exists()


def test_nothing_is_decided_on_a_retired_leg(line: Trunk, owner: User) -> None:
    leg = line.legs[2]
    leg.retired_on = TODAY() + timedelta(days=1)
    leg.save()
    kept(line, owner, leg=leg)
    leg.retired_on = TODAY()
    leg.save()
    with pytest.raises(UnableToDecide):
        kept(line, owner, leg=leg)


def test_a_decision_taken_back_stays_with_its_reason(line: Trunk, owner: User) -> None:
    made = kept(line, owner)
    with pytest.raises(UnableToTakeBackDecision):
        take_back_decision(decision=made, why=" ", today=TODAY())
    take_back_decision(decision=made, why="wrong leg", today=TODAY())
    made.refresh_from_db()
    assert (made.taken_back_on, made.why_taken_back) == (TODAY(), "wrong leg")
    with pytest.raises(UnableToTakeBackDecision):
        take_back_decision(decision=made, why="again", today=TODAY())


def looked(decision: Decision) -> str:
    (one,) = looked_back([decision])
    return one.words


def test_what_came_stands_beside_what_was_expected(line: Trunk, owner: User) -> None:
    known = known_on_the_day(line, owner, fault_cost=None, renewal_cost=None)
    made = kept(line, owner, known=known)
    assert "Not done yet. Too short a time to compare." in looked(made)
    # Two years pass: nothing was renewed, two faults came, that of the day itself was known.
    Decision.objects.update(decided_on=TODAY() - timedelta(days=731))
    made.refresh_from_db()
    for days in (731, 730, 30):
        line.struck(line.legs[2], TODAY() - timedelta(days=days))
    expected = look_back(made.shape or 0, made.years_behind or 0, 731 / 365.25, 2)
    assert f"2 faults came in 2.0 years; expected were {expected.low} to {expected.high}." in (
        looked(made)
    )


def test_after_a_renewal_only_the_time_since_counts(line: Trunk, owner: User) -> None:
    known = known_on_the_day(line, owner, fault_cost=None, renewal_cost=None)
    made = kept(line, owner, known=known)
    Decision.objects.update(decided_on=TODAY() - timedelta(days=800))
    made.refresh_from_db()
    line.struck(line.legs[2], TODAY() - timedelta(days=780))
    day = TODAY() - timedelta(days=731)
    Renewal.objects.create(leg=line.legs[2], on=day, kind="new cable")
    words = looked(made)
    assert f"Done on {day}. 0 faults came in 2.0 years since; left as it was" in words
