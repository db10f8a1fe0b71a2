"""The few legs that matter, and what visits to their faults took."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from faults.models import Fault, Job, JobState
from faults.prices.engines import pricing
from reports.hotspots.services.mattering import (
    AGAINST,
    MOST,
    Mattering,
    Taken,
    cost_words,
    few_that_matter,
    times_plainly,
)
from reports.hotspots.services.past import LEAST_FAULTS, Past, past_at
from reports.hotspots.services.ranking import look
from reports.hotspots.services.scope import Scope
from sites.kernel.engines.roles import Role
from sites.models import Renewal, Tariff, User
from tests import make, make_jobs
from tests.services.hotspots.trunk import ALL, SINCE, Trunk, trunk

pytestmark = pytest.mark.django_db


@pytest.fixture
def line() -> Trunk:
    """Twelve legs, of which the third was struck eight times."""
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3))
    return made


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER)


def few(line: Trunk, user: User, scope: Scope = ALL) -> list[Mattering]:
    """Return what matters on the trunk."""
    return few_that_matter(look([line.place], scope), user=user)


def visit(fault: Fault, minutes: int, *, people: int = 1) -> Job:
    """Record a finished visit of so many people."""
    crew = make_jobs.crew(*(make.user() for _ in range(people)))
    return make_jobs.started(
        fault=fault, crew=crew, state=JobState.DONE, actual_minutes=minutes, ended_at=make.NOW
    )


def test_only_what_is_flagged_matters(line: Trunk, owner: User) -> None:
    line.struck(line.legs[5], date(2022, 1, 1))
    assert [one.row.name for one in few(line, owner)] == ["T-3"]
    quiet = trunk((100.0,) * 12)
    quiet.struck(quiet.legs[0], date(2022, 1, 1))
    assert few(quiet, owner) == []


def test_at_most_five(owner: User) -> None:
    made = trunk((100.0,) * 120)
    for n in range(MOST + 2):
        for month in range(1, 11):
            made.struck(made.legs[n], date(2022, month, 3))
    assert len(few(made, owner)) == MOST


def test_minutes_count_for_each_person_and_name_what_is_missing(line: Trunk, owner: User) -> None:
    first, second = Fault.objects.order_by("pk")[:2]
    visit(first, 90, people=2)
    visit(first, 30)
    visit(second, 60)
    (one,) = few(line, owner)
    assert one.cost == "Visits took 4.5 man-hours so far; written down for 2 of 8 faults."


def test_what_was_withdrawn_or_lies_elsewhere_does_not_count(line: Trunk, owner: User) -> None:
    elsewhere = line.struck(line.legs[7], date(2022, 5, 5)).fault
    visit(elsewhere, 500)
    gone = Fault.objects.order_by("pk")[0]
    visit(gone, 60)
    Fault.objects.filter(pk=gone.pk).update(stage="withdrawn")
    (one,) = few(line, owner)
    assert "no visit is written down" in one.cost


def test_a_renewal_leaves_out_the_faults_before_it(line: Trunk, owner: User) -> None:
    first = Fault.objects.order_by("reported_on")[0]
    visit(first, 60)
    assert "written down for 1 of 8" in few(line, owner)[0].cost
    Renewal.objects.create(leg=line.legs[2], on=first.reported_on, kind="guard")
    assert "written down for 1 of 8" in few(line, owner)[0].cost
    Renewal.objects.update(on=first.reported_on + timedelta(days=1))
    make.place()
    (one,) = few_that_matter(look([line.place], ALL), user=owner)
    assert "At 9 man-hours a fault, for example, it would be 63 man-hours" in one.cost


def test_money_is_for_those_who_see_rates(line: Trunk, owner: User) -> None:
    Tariff.objects.create(property=line.place, labour_rate=Decimal("65.00"))
    for fault in Fault.objects.all():
        visit(fault, 60)
    technician = make.user(Role.TECHNICIAN)
    assert few(line, owner)[0].cost == (
        "Visits took 8 man-hours so far, 520 at your labour rate, without charges and water."
    )
    assert few(line, technician)[0].cost == "Visits took 8 man-hours so far."
    assert few(line, owner)[0].may_weigh
    assert not few(line, technician)[0].may_weigh


def test_a_part_of_the_days_or_causes_has_no_costs(line: Trunk, owner: User) -> None:
    part = Scope(ALL.to_on, SINCE, cause="rodent")
    assert [one.cost for one in few(line, owner, part)] == [""]


def test_the_advice_follows_the_cause_that_leads(line: Trunk, owner: User) -> None:
    assert few(line, owner)[0].advice == str(AGAINST["rodent"])
    for n in range(8):
        line.struck(line.legs[2], date(2024, 1 + n, 3), cause="shovel")
    assert "No known cause leads" in few(line, owner)[0].advice


@pytest.mark.parametrize(
    ("ratio", "said"), [(1.94, "1.9"), (2.96, "3.0"), (3.0, "3"), (5.81, "6"), (1234.0, "1,234")]
)
def test_times_have_no_more_digits_than_anybody_uses(ratio: float, said: str) -> None:
    assert times_plainly(ratio) == f"{said} times as often as the rest"


def test_cost_words_at_their_edges() -> None:
    assert cost_words(Taken(60.0, 1, 1), None) == "Visits took 1 man-hours so far."
    hour = pricing.Price(pricing.Charge.TRACING, Decimal(50))
    prices = pricing.nearest([pricing.Sheet(pricing.Scope.COMPANY, "USD", None, (hour,))])
    assert cost_words(Taken(0.0, 0, 2), prices).endswith(
        "it would be 18 man-hours, 900 USD at your labour rate."
    )
    past = Past(mean=297.4, se=20, sd=60, faults=9, left_out=0, currency="USD")
    assert cost_words(Taken(0.0, 0, 2), prices, past) == (
        "What it took is not known: no visit is written down. At 297 USD a fault, what your own "
        "cost on average with visits, charges and water, it would be 594 USD."
    )
    # Visits that are written down go before it; so does who may not see prices.
    assert "own cost" not in cost_words(Taken(60.0, 1, 2), prices, past)
    assert "9 man-hours" in cost_words(Taken(0.0, 0, 2), None, past)
    assert "9 man-hours" in cost_words(Taken(0.0, 0, 2), prices, replace(past, currency="MXN"))


def test_a_fault_costs_the_same_here_as_where_it_is_weighed(line: Trunk, owner: User) -> None:
    """Three faults of an hour at 65: here and in Repair or replace."""
    Tariff.objects.create(property=line.place, labour_rate=Decimal("65.00"))
    for _n in range(LEAST_FAULTS):
        station = make.station(controller=make.controller(property=line.place))
        day = timezone.localdate() - timedelta(days=30)
        visit(make.fault(station, reported_on=day, stage="returned"), 60)
    past = past_at(line.place, owner)
    assert past is not None
    assert past.mean == 65
    assert "At 65 a fault, what your own cost on average" in few(line, owner)[0].cost
    assert "it would be 520." in few(line, owner)[0].cost
