"""What it earned: quoted, spent and billed of the visits of a period, and the lost hours."""

from datetime import timedelta
from decimal import Decimal

import pytest

from faults.billing.engines.earning import By, Row
from faults.billing.services.earned import earned
from faults.billing.services.giving import take_back_batch
from faults.cases.services.spending import spending_of
from faults.models import AnswerKind, Fault, Job, JobKind, LineBasis, Quote
from faults.prices.engines.pricing import Charge
from faults.quotes.services.answering import Said, answer_quote
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_billing, make_jobs, make_prices, make_quotes
from tests.make import NOW, TODAY

pytestmark = pytest.mark.django_db
D = Decimal
DAY = timedelta(days=1)


@pytest.fixture
def owner() -> User:
    """An owner, who sees all."""
    return make.user(Role.OWNER)


@pytest.fixture
def quote(owner: User) -> Quote:
    """The worked example of a quote in USD, found by a shovel's cut; we dig for 320.42."""
    make_prices.price_list({Charge.TRACING: 65, Charge.DIGGING: 65, Charge.STANDBY: 45})
    return make_quotes.quote(by=owner)


def visit(fault: Fault | None = None, **given: object) -> Job:
    """A visit of three hours by one person, to dig unless it says otherwise."""
    usual = {"kind": JobKind.DIG, "actual_minutes": 180, "started_at": NOW, "fault": fault}
    return make_billing.done(**{**usual, **given})


def figures(user: User, by: By = By.FAULT, since: int = 30, until: int = 0) -> list[Row]:
    """The rows of the days around today."""
    found = earned(user, by, since=TODAY - since * DAY, until=TODAY + until * DAY)
    return list(found.rows)


def test_quoted_spent_and_billed_of_a_fault_with_its_lost_hours(owner: User, quote: Quote) -> None:
    job = visit(quote.fault)
    given = make_billing.line(job=job, quantity=D(1))
    make_billing.line(job=job, quantity=D("0.5"), basis=LineBasis.WARRANTY)
    make_billing.line(job=job, quantity=D("0.25"))
    (before,) = figures(owner)
    assert (before.quoted, before.lost_h) == (None, D("2.5"))
    answer_quote(quote=quote, said=Said(AnswerKind.YES, "Ann", "we dig"), by=owner, at=NOW)
    batch = make_billing.batch(given, by=owner)
    (row,) = figures(owner)
    assert (row.group, row.currency) == (f"{quote.fault}, {quote.fault.property}", "USD")
    assert (row.quoted, row.billed) == (D("320.42"), 65)
    # 1.25 h in lines, 1.25 h in none, and half an hour that the warranty pays.
    assert row.spent == D("65.00") + D("16.25") + D("81.25")
    assert (row.spent_h, row.billed_h, row.free_h, row.lost_h) == (3, 1, D("0.5"), D("1.5"))
    assert row.spent == spending_of(quote.fault, at=NOW + DAY, in_money=True).money.amount
    take_back_batch(batch=batch, why="wrong", today=TODAY)
    (row,) = figures(owner)
    assert (row.billed, row.lost_h) == (0, D("2.5"))


def test_by_client_cause_and_kind(owner: User, quote: Quote) -> None:
    answer_quote(quote=quote, said=Said(AnswerKind.YES, "Ann", "we dig"), by=owner, at=NOW)
    visit(quote.fault)
    visit(quote.fault, kind=JobKind.LOCATE)
    visit(kind=JobKind.WALK)
    of_kind = {row.group: row for row in figures(owner, By.KIND)}
    assert {name: (row.quoted, row.spent_h) for name, row in of_kind.items()} == {
        "dig and mend": (D("320.42"), 3),
        "locate": (None, 3),
        "station walk": (None, 3),
    }
    of_cause = {row.group: row.spent_h for row in figures(owner, By.CAUSE)}
    assert of_cause == {"shovel": 6, "no fault": 3}
    client = str(quote.fault.property.client)
    of_client = {row.group: row for row in figures(owner, By.CLIENT)}
    assert (of_client[client].spent_h, of_client[client].quoted) == (6, D("320.42"))
    assert len(of_client) == 2


def test_currencies_stand_in_rows_of_their_own(owner: User, quote: Quote) -> None:
    place = make.place(client=quote.fault.property.client)
    make_prices.price_list({Charge.TRACING: 50, Charge.DIGGING: 50}, property=place, currency="EUR")
    visit(quote.fault)
    visit(property=place)
    rows = {row.currency: row.spent for row in figures(owner, By.CLIENT)}
    assert rows == {"EUR": 150, "USD": 195}
    totals = earned(owner, By.CLIENT, since=TODAY - DAY, until=TODAY).totals
    assert [(row.currency, row.spent) for row in totals] == [("EUR", 150), ("USD", 195)]


def test_both_days_of_the_period_count_and_what_is_only_planned_never(
    owner: User, quote: Quote
) -> None:
    visit(quote.fault)
    make_jobs.job(fault=quote.fault)
    assert [row.spent_h for row in figures(owner, since=0)] == [3]
    assert figures(owner, since=9, until=-1) == []
    assert figures(owner, since=-1, until=1) == []
    # A visit that was called off and cost a trip.
    called_off = make_jobs.job(fault=quote.fault, state="withdrawn")
    make_jobs.line(job=called_off, charge="trip", unit="each", quantity=1, unit_price=30)
    (row,) = figures(owner, since=0)
    assert (row.spent_h, row.spent) == (3, 195 + 30)


def test_a_price_that_nobody_knows_is_said(owner: User) -> None:
    visit()
    (row,) = figures(owner)
    assert (row.currency, row.spent, row.not_priced, row.lost_h) == ("", 0, 1, 3)


def test_people_entered_and_damage_are_in_it(owner: User, quote: Quote) -> None:
    job = visit(quote.fault)
    for name in ("Pip", "Kim"):
        make_billing.there(job=job, name=name, minutes=180, did="digging")
    line = make_billing.line(job=job, quantity=D(6), basis=LineBasis.DAMAGE, charge="digging")
    make_billing.batch(line, by=owner)
    (row,) = figures(owner)
    assert (row.spent_h, row.billed_h, row.lost_h) == (6, 6, 0)
    assert (row.spent, row.billed) == (390, 390)


def test_who_may_not_see_prices_there_sees_nothing_of_it(quote: Quote) -> None:
    visit(quote.fault)
    client = quote.fault.property.client
    assert figures(make.user(Role.TECHNICIAN)) == []
    assert len(figures(make.user(Role.DISPATCHER, client=client))) == 1
    assert figures(make.user(Role.DISPATCHER, client=make.place().client)) == []
