"""Money of a fault: lines of all its jobs, and hours without a line, against one limit."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.cases.services.spending import Money, Spending, money_of, spending_of
from faults.models import Authority, Fault, Job, JobLine, LineBasis, LineKind
from faults.prices.engines.pricing import Charge, Price, Scope, Sheet, nearest
from faults.sheet.forms.payload import sheet_payload
from faults.work.services.doing import start_job
from faults.work.services.limits import (
    beyond_the_limit,
    let_start_beyond,
    take_back_beyond,
)
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_lines import State, Subject
from faults.work.services.spending_words import spent_words
from faults.work.services.told import UnableToWork
from sites.kernel.engines.roles import Role
from sites.models import Property, User
from tests import make, make_jobs, make_prices
from tests.make import NOW, TODAY

pytestmark = pytest.mark.django_db

D = Decimal
DAY = timedelta(days=1)


@pytest.fixture
def fault() -> Fault:
    """A fault at a property where an hour costs 60."""
    make_prices.price_list({Charge.TRACING: 60, Charge.STANDBY: 45})
    return make.fault()


def crew_of(count: int) -> Any:
    return make_jobs.crew(*(make.user(Role.TECHNICIAN) for _ in range(count)))


def visit(fault: Fault, minutes: int, people: int = 1, days_ago: int = 2, **more: Any) -> Job:
    """A visit that took so long."""
    usual = {"state": "done", "actual_minutes": minutes, "started_at": NOW - days_ago * DAY}
    return make_jobs.job(fault=fault, crew=crew_of(people), **{**usual, **more})


def yes(fault: Fault, days_ago: int = 1, **limits: Any) -> None:
    day = TODAY - days_ago * DAY
    Authority.objects.create(fault=fault, given_by="Pip", given_on=day, **limits)


def spent(fault: Fault, **more: Any) -> Spending:
    fault = Fault.objects.get(pk=fault.pk)
    return spending_of(fault, at=NOW, in_money=True, **more)


def test_two_people_for_180_minutes_are_six_hours_and_priced_so(fault: Fault) -> None:
    visit(fault, 180, people=2)
    found = spent(fault)
    assert found.used_man_min == 360
    assert (found.money, found.currency) == (Money(D("360.00")), "USD")
    words = spent_words(found, sees_prices=True)
    assert words == "6 man-hours used. Nobody set a limit in hours. 360.00 USD before tax used."


def test_hours_that_have_a_line_are_not_counted_twice(fault: Fault) -> None:
    job = visit(fault, 180, people=2)
    make_jobs.line(job=job, quantity=D(4), unit_price=D(70))
    # Four of the six hours stand on a line at 70, two have none yet and cost 60.
    assert spent(fault).money == Money(D("280.00") + D("120.00"))
    make_jobs.line(job=job, kind=LineKind.STANDBY, quantity=D(2), unit_price=D(45))
    assert spent(fault).money == Money(D("280.00") + D("90.00"))
    make_jobs.line(job=job, kind=LineKind.PARTS, quantity=D(3), unit="each", unit_price=D("2.50"))
    assert spent(fault).money == Money(D("377.50"))


@pytest.mark.parametrize("unit", ["h", "H ", "hours"])
def test_hours_are_hours_however_they_are_written(fault: Fault, unit: str) -> None:
    job = visit(fault, 60)
    make_jobs.line(job=job, quantity=D(1), unit=unit, unit_price=D(70))
    assert spent(fault).money == Money(D("70.00"))


@pytest.mark.parametrize("basis", [LineBasis.WARRANTY, LineBasis.CONTRACT])
def test_warranty_and_contract_cover_their_hours_and_cost_the_client_nothing(
    fault: Fault, basis: str
) -> None:
    job = visit(fault, 90)
    make_jobs.line(job=job, quantity=D("1.5"), basis=basis)
    assert spent(fault).money == Money(D(0))
    assert spent(fault).used_man_min == 90


def test_a_struck_line_counts_nowhere_and_its_hours_are_open_again(fault: Fault) -> None:
    line = make_jobs.line(job=visit(fault, 60), quantity=D(1), unit_price=D(70))
    line.removed_on = TODAY
    line.save()
    assert spent(fault).money == Money(D("60.00"))


def test_a_line_of_a_job_that_never_began_counts_and_another_fault_never(fault: Fault) -> None:
    make_jobs.line(job=make_jobs.job(fault=fault), kind=LineKind.PARTS, unit="each")
    make_jobs.line(job=visit(make.fault(), 60), unit_price=D(1000))
    assert spent(fault).money == Money(D("97.50"))


def test_the_price_of_an_hour_is_that_of_its_day(fault: Fault) -> None:
    make_prices.price_list({Charge.TRACING: 80}, property=fault.property, from_on=TODAY - DAY)
    visit(fault, 60, days_ago=2)
    visit(fault, 60, days_ago=1)
    assert spent(fault).money == Money(D("60.00") + D("80.00"))


def test_what_has_no_price_makes_the_sum_at_least() -> None:
    fault = make.fault()
    visit(fault, 60)
    make_jobs.line(job=visit(fault, 90), unit_price=None)
    make_jobs.line(job=make_jobs.job(fault=fault), kind="parts", unit="each", unit_price=D(5))
    found = spent(fault)
    assert found.money == Money(D("7.50"), not_priced=2)
    assert "2 lines or visits have no price: it is at least that much." in spent_words(
        found, sees_prices=True
    )


def test_who_sees_no_prices_reads_no_money(fault: Fault) -> None:
    visit(fault, 60)
    yes(fault, up_to_amount=D(70))
    words = spent_words(spent(fault), sees_prices=False)
    assert words == (
        "1 man-hours used. Nobody set a limit in hours. "
        "85 % of the limit is used: ask the client before it ends."
    )


@pytest.mark.parametrize(
    ("amount", "share", "words"),
    [
        ("75.01", D("0.7999"), ""),
        ("75", D("0.8"), "80 % of the limit is used: ask the client before it ends."),
        ("60.01", D("0.9998"), "99 % of the limit is used: ask the client before it ends."),
        ("60", D(1), "The limit leaves nothing: ask the client before the next visit."),
        ("30", D(2), "The limit leaves nothing: ask the client before the next visit."),
    ],
)
def test_four_fifths_warn_and_all_of_it_stops(
    fault: Fault, amount: str, share: Decimal, words: str
) -> None:
    visit(fault, 60)
    yes(fault, up_to_amount=D(amount))
    found = spent(fault)
    assert found.share == pytest.approx(float(share), abs=1e-4)
    assert spent_words(found, sees_prices=True).endswith(
        words or f"60.00 USD of {amount} USD before tax used."
    )
    job = make_jobs.job(fault=fault, crew=crew_of(1), day=TODAY)
    assert bool(beyond_the_limit(job, NOW)) == (share >= 1)


def test_the_fullest_of_two_limits_counts_and_the_newest_yes_replaces_both(fault: Fault) -> None:
    visit(fault, 60)
    yes(fault, days_ago=2, up_to_hours=D(10), up_to_amount=D(60))
    assert spent(fault).share == 1
    yes(fault, days_ago=1, up_to_hours=D(2), up_to_amount=D(600))
    assert spent(fault).share == 0.5


def consent(job: Job) -> tuple[State, str]:
    lines = readiness_of([Job.objects.get(pk=job.pk)], today=TODAY)[job.pk].lines
    line = next(each for each in lines if each.subject is Subject.CONSENT)
    return line.state, line.words


def test_a_second_visit_of_120_minutes_with_180_used_has_nothing_left_anywhere(
    fault: Fault,
) -> None:
    make.authority(property=fault.property, up_to_hours=D(2), from_on=TODAY - 9 * DAY)
    visit(fault, 180)
    tessa = make.user(Role.TECHNICIAN)
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(tessa), day=TODAY)
    told = sheet_payload(job=job, user=tessa, today=TODAY, at=NOW)["authority"]
    assert told["left_man_min"] == -60
    assert told["near"] == "The limit leaves nothing: ask the client before the next visit."
    assert spent_words(spent(fault), sees_prices=False).startswith("3 of 2 man-hours used.")
    state, words = consent(job)
    assert state is State.NOT_READY
    assert words.startswith("3 of 2 man-hours are used: the limit leaves nothing.")
    with pytest.raises(UnableToWork, match="3 of 2 man-hours are used"):
        start_job(job=job, at=NOW, today=TODAY, by=tessa)


def test_money_used_up_stops_a_search_and_tells_no_sum(fault: Fault) -> None:
    yes(fault, up_to_amount=D(60))
    tessa = make.user(Role.TECHNICIAN)
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(tessa), day=TODAY)
    visit(fault, 59)
    assert beyond_the_limit(job, NOW) == ""
    assert "98 % of the limit is used" in consent(job)[1]
    make_jobs.line(job=visit(fault, 1), kind=LineKind.TIME, quantity=D(1), unit_price=D(1))
    words = consent(job)[1]
    assert words == "The limit in money is used up. Ask the client for more, and enter the new yes."
    with pytest.raises(UnableToWork, match="limit in money"):
        start_job(job=job, at=NOW, today=TODAY, by=tessa)
    # A visit that is no search and no dig is not held back by it.
    other = make_jobs.job(fault=fault, kind="return to central", crew=job.crew, day=TODAY)
    start_job(job=other, at=NOW, today=TODAY, by=tessa)


def test_somebody_with_the_right_lets_it_start_and_takes_that_back(fault: Fault) -> None:
    yes(fault, up_to_hours=D(1))
    tessa, olive = make.user(Role.TECHNICIAN), make.user(Role.OWNER, username="olive")
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(tessa), day=TODAY)

    def let(reason: str = "they said go on, by telephone") -> None:
        let_start_beyond(job=job, reason=reason, by=olive, at=NOW)

    with pytest.raises(UnableToWork, match="not used up"):
        let()
    visit(fault, 60)
    with pytest.raises(UnableToWork) as refusal:
        let("  ")
    assert refusal.value.field == "reason"
    let()
    with pytest.raises(UnableToWork, match="already"):
        let()
    assert consent(job) == (
        State.READY,
        "Let go by olive beyond the limit: they said go on, by telephone",
    )
    # Another job of the fault stays held back.
    assert beyond_the_limit(make_jobs.job(fault=fault, day=TODAY), NOW)
    take_back_beyond(job=job, today=TODAY)
    assert consent(job)[0] is State.NOT_READY
    with pytest.raises(UnableToWork, match="No such word"):
        take_back_beyond(job=job, today=TODAY)
    let()
    start_job(job=job, at=NOW, today=TODAY, by=tessa)
    assert Job.objects.get(pk=job.pk).state == "started"
    with pytest.raises(UnableToWork, match="over"):
        let_start_beyond(job=visit(fault, 5), reason="why", by=olive, at=NOW)


def test_the_phone_says_the_share_and_never_the_sum_of_money(fault: Fault) -> None:
    yes(fault, up_to_amount=D(70))
    visit(fault, 60)
    tessa: User = make.user(Role.TECHNICIAN)
    job = make_jobs.job(fault=fault, crew=make_jobs.crew(tessa), day=TODAY)
    told = sheet_payload(job=job, user=tessa, today=TODAY, at=NOW)["authority"]
    assert told["amount"] == "70.00 USD"
    assert told["near"] == "85 % of the limit is used: ask the client before it ends."
    assert "60.00" not in str(told)


HELD = nearest([Sheet(Scope.COMPANY, "USD", None, (Price(Charge.TRACING, D(60)),))])
VISITS = st.lists(st.integers(1, 600), min_size=1, max_size=4)
LINES = st.lists(
    st.tuples(
        st.integers(0, 3),
        st.sampled_from(LineBasis.values),
        st.integers(1, 40),
        st.integers(0, 200),
    ),
    max_size=6,
)


@given(VISITS, LINES)
@settings(max_examples=60)
def test_the_sum_is_that_of_the_lines_and_of_each_visits_open_hours(
    minutes: list[int], told: list[tuple[int, str, int, int]]
) -> None:
    usual: Any = {"property": Property(time_zone="UTC"), "started_at": NOW}
    visits = [Job(pk=n, **usual, actual_minutes=each) for n, each in enumerate(minutes)]
    lines = [
        JobLine(
            job_id=n % len(visits),
            kind="time",
            basis=basis,
            quantity=D(quarters) / 4,
            unit="h",
            unit_price=D(price),
        )
        for n, basis, quarters, price in told
    ]
    found = money_of(visits, lines, {}, lambda _day: HELD)
    billable = sum((x.amount or D(0) for x in lines if x.basis == LineBasis.BILLABLE), D(0))
    booked = {job.pk: sum(x.quantity for x in lines if x.job_id == job.pk) for job in visits}
    rest = sum(max(D(0), D(job.actual_minutes or 0) - booked[job.pk] * 60) for job in visits)
    # A minute costs a unit of money here; what is less than a hundredth of an hour is let go.
    assert abs(found.amount - billable - rest) <= D("0.7") * len(visits)
    assert found.not_priced == 0
