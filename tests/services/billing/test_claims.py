"""Damage by third parties: its cost is that of its lines, and it is paid, or not."""

from datetime import timedelta

import pytest

from faults.billing.queries import damage_lines
from faults.billing.services.claims import (
    ClaimFacts,
    change_claim,
    cost_of,
    drop_claim,
    note_paid,
    open_claim,
    take_back_paid,
)
from faults.billing.services.told import UnableToBill
from faults.cases.services.spending import spending_of
from faults.models import Fault, LineBasis
from sites.kernel.services.verb_days import UnableToUseDay
from tests import make, make_billing, make_prices
from tests.make import NOW, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def fault() -> Fault:
    """A fault of a property that is charged in USD."""
    make_prices.price_list()
    return make.fault()


def facts(**given: object) -> ClaimFacts:
    """What a claim says."""
    usual = {"liable_party": " Trench  and Sons", "claim_number": "C-1", "statement": "Seen."}
    return ClaimFacts(**{**usual, "made_on": TODAY - DAY, **given})  # type: ignore[arg-type]


def test_its_cost_is_that_of_the_lines_for_damage_and_the_client_is_not_charged(
    fault: Fault,
) -> None:
    job = make_billing.done(fault=fault, actual_minutes=180)
    make_billing.line(job=job, basis=LineBasis.DAMAGE)
    make_billing.line(job=job, basis=LineBasis.DAMAGE, kind="parts", unit="each", quantity=2)
    make_billing.line(job=job, basis=LineBasis.DAMAGE, removed_on=TODAY)
    make_billing.line(job=job)
    other = make_billing.done(fault=make.fault())
    make_billing.line(job=other, basis=LineBasis.DAMAGE)
    assert cost_of(damage_lines([fault.pk])).words == ["227.50 USD"]
    spent = spending_of(fault, at=NOW + DAY, in_money=True)
    assert (float(spent.money.amount), spent.used_man_min) == (97.5, 180)


def test_one_claim_stands_per_fault(fault: Fault) -> None:
    claim = open_claim(fault=fault, facts=facts(), today=TODAY)
    assert claim.liable_party == "Trench and Sons"
    with pytest.raises(UnableToBill, match="stands already"):
        open_claim(fault=fault, facts=facts(), today=TODAY)
    with pytest.raises(UnableToBill, match="Say why"):
        drop_claim(claim=claim, why=" ", today=TODAY)
    drop_claim(claim=claim, why="settled", today=TODAY)
    for act in (
        lambda: drop_claim(claim=claim, why="x", today=TODAY),
        lambda: change_claim(claim=claim, facts=facts(), today=TODAY),
        lambda: note_paid(claim=claim, paid_on=TODAY, today=TODAY),
    ):
        with pytest.raises(UnableToBill, match=f"dropped on {TODAY}"):
            act()
    open_claim(fault=fault, facts=facts(), today=TODAY)


def test_what_a_claim_cannot_say_is_refused(fault: Fault) -> None:
    with pytest.raises(UnableToBill, match="Who is liable"):
        open_claim(fault=fault, facts=facts(liable_party=" "), today=TODAY)
    with pytest.raises(UnableToUseDay):
        open_claim(fault=fault, facts=facts(made_on=TODAY + DAY), today=TODAY)
    open_claim(fault=fault, facts=facts(made_on=TODAY), today=TODAY)


def test_paid_once_on_a_day_from_the_claim_on_and_taken_back(fault: Fault) -> None:
    claim = open_claim(fault=fault, facts=facts(), today=TODAY)
    with pytest.raises(UnableToBill, match="is not paid"):
        take_back_paid(claim=claim, why="x")
    with pytest.raises(UnableToBill, match="after that day"):
        note_paid(claim=claim, paid_on=TODAY - 2 * DAY, today=TODAY)
    with pytest.raises(UnableToUseDay):
        note_paid(claim=claim, paid_on=TODAY + DAY, today=TODAY)
    note_paid(claim=claim, paid_on=TODAY - DAY, today=TODAY)
    with pytest.raises(UnableToBill, match="already"):
        note_paid(claim=claim, paid_on=TODAY, today=TODAY)
    with pytest.raises(UnableToBill, match="Take that back first"):
        drop_claim(claim=claim, why="x", today=TODAY)
    with pytest.raises(UnableToBill, match="before that day"):
        change_claim(claim=claim, facts=facts(made_on=TODAY), today=TODAY)
    take_back_paid(claim=claim, why="bounced")
    change_claim(claim=claim, facts=facts(made_on=TODAY), today=TODAY)
    assert (claim.paid_on, claim.made_on) == (None, TODAY)
