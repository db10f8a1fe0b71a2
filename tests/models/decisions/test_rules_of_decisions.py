"""Each named rule on decisions refuses what it names."""

from datetime import timedelta
from typing import Any

import pytest

from reports.models import Choice, Decision, RenewalCosts
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def decision(**given: Any) -> Decision:
    usual = {"choice": Choice.RENEW, "why": "it keeps breaking", "decided_on": make.TODAY}
    return Decision.objects.create(leg=given.pop("leg", None) or make.leg(), **{**usual, **given})


def test_decision_looked_at_again_later() -> None:
    decision(look_again_on=make.TODAY + timedelta(days=1))
    with refused_by("decision_looked_at_again_later"):
        decision(look_again_on=make.TODAY)


def test_decision_taken_back_with_its_reason() -> None:
    decision(taken_back_on=make.TODAY, why_taken_back="wrong leg")
    with refused_by("decision_taken_back_with_its_reason"):
        decision(taken_back_on=make.TODAY)
    with refused_by("decision_taken_back_with_its_reason"):
        decision(why_taken_back="wrong leg")


def test_decision_costs_not_below_0() -> None:
    decision(fault_cost=0.01, renewal_cost=0)
    with refused_by("decision_costs_not_below_0"):
        decision(fault_cost=0)
    with refused_by("decision_costs_not_below_0"):
        decision(renewal_cost=-0.01)


def costs(**given: Any) -> RenewalCosts:
    usual = {"per_foot": 10, "fixed": 0, "kept_on": make.TODAY}
    return RenewalCosts.objects.create(**{**usual, **given})


def test_renewal_costs_not_below_0() -> None:
    costs(property=make.place(), per_foot=0, per_foot_paved=0)
    costs(property=make.place(), per_foot_ploughed=0, per_foot_pulled=0)
    for name in ("per_foot", "per_foot_paved", "per_foot_ploughed", "per_foot_pulled", "fixed"):
        with refused_by("renewal_costs_not_below_0"):
            costs(property=make.place(), **{name: -0.01})


def test_renewal_costs_one_at_a_property() -> None:
    place = make.place()
    costs(property=place)
    costs(property=make.place())
    costs()
    with refused_by("renewal_costs_one_at_a_property"):
        costs(property=place)
    with refused_by("renewal_costs_one_at_a_property"):
        costs()
