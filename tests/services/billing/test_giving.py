"""Lines go to the books once: what a batch takes, keeps and gives back."""

from datetime import timedelta
from decimal import Decimal

import pytest

from faults.billing.queries import unbilled_lines
from faults.billing.services.files import batch_plain, sums_of_entries
from faults.billing.services.giving import give_to_books, note_order_number, take_back_batch
from faults.billing.services.told import UnableToBill
from faults.cases.services.spending import spending_of
from faults.models import Authority, JobLine, JobState, LineBasis
from faults.work.services.lines import correct_line, put_line_back, remove_line
from faults.work.services.told import LineFacts, UnableToBook
from sites.kernel.engines.roles import Role
from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import StandingAuthority, User
from tests import make, make_billing, make_jobs, make_prices

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
TODAY = make.TODAY


@pytest.fixture
def owner() -> User:
    """An owner, who sees all lines."""
    return make.user(Role.OWNER)


def listed(user: User) -> list[JobLine]:
    """The lines that the list of unbilled work shows."""
    return list(unbilled_lines(user).order_by("pk"))


def test_finished_lines_are_listed_until_they_are_given_and_after_the_batch_is_taken_back(
    owner: User,
) -> None:
    one, two = make_billing.line(), make_billing.line()
    make_jobs.line(job=make_jobs.started())
    make_billing.line(removed_on=TODAY)
    called_off = make_billing.line(job=make_billing.done(state=JobState.WITHDRAWN))
    assert listed(owner) == [one, two, called_off]
    batch = make_billing.batch(one, two, by=owner)
    assert listed(owner) == [called_off]
    take_back_batch(batch=batch, why="wrong month", today=TODAY)
    assert listed(owner) == [one, two, called_off]
    assert batch.entries.count() == 2
    again = make_billing.batch(two, by=owner)
    assert listed(owner) == [one, called_off]
    assert [entry.line for entry in again.entries.all()] == [two]


def test_a_line_in_a_batch_is_neither_given_again_nor_corrected_nor_struck(owner: User) -> None:
    one, two = make_billing.line(), make_billing.line()
    batch = make_billing.batch(one, by=owner)
    with pytest.raises(UnableToBill, match=f"given to the books on {TODAY}: it is in {batch}"):
        make_billing.batch(two, one, by=owner)
    assert listed(owner) == [two]
    facts = LineFacts("time", "billable", TODAY, "tracing", Decimal(9), "h", Decimal(65))
    with pytest.raises(UnableToBook, match="Take that batch back first, or add a new line"):
        correct_line(line=one, facts=facts, why="more", today=TODAY)
    with pytest.raises(UnableToBook, match="Take that batch back first, or add a new line"):
        remove_line(line=one, why="twice", today=TODAY)
    take_back_batch(batch=batch, why="wrong", today=TODAY)
    correct_line(line=one, facts=facts, why="more", today=TODAY)
    remove_line(line=one, why="twice", today=TODAY)
    with pytest.raises(UnableToBill, match="is struck out"):
        make_billing.batch(one, by=owner)
    put_line_back(line=one)
    assert make_billing.batch(one, by=owner).entries.get().quantity == 9
    # What the first batch gave stays as it was given.
    assert batch.entries.get().quantity == Decimal("1.5")


def test_a_batch_is_taken_back_once_and_with_a_reason(owner: User) -> None:
    batch = make_billing.batch(by=owner)
    with pytest.raises(UnableToBill, match="Say why"):
        take_back_batch(batch=batch, why=" ", today=TODAY)
    take_back_batch(batch=batch, why="wrong", today=TODAY)
    with pytest.raises(UnableToBill, match=f"taken back on {TODAY} already"):
        take_back_batch(batch=batch, why="wrong", today=TODAY)


def test_what_cannot_be_given_is_refused_whole(owner: User) -> None:
    good = make_billing.line()
    running = make_jobs.line(job=make_jobs.started())
    no_price = make_billing.line(unit_price=None)
    for bad, words in ((running, "not finished"), (no_price, "has no price")):
        with pytest.raises(UnableToBill, match=words):
            make_billing.batch(good, bad, by=owner)
    with pytest.raises(UnableToBill, match="Nothing is ticked"):
        give_to_books(lines=[], given_on=TODAY, by=owner, today=TODAY)
    with pytest.raises(UnableToUseDay, match="has not come"):
        make_billing.batch(good, by=owner, on=TODAY + DAY)
    with pytest.raises(UnableToBill, match="after the day of the batch"):
        make_billing.batch(good, by=owner, on=good.on - DAY)
    assert good in listed(owner)
    make_billing.batch(good, by=owner, on=good.on)
    assert good not in listed(owner)


def test_warranty_and_contract_work_is_given_and_charges_nothing(owner: User) -> None:
    warranty = make_billing.line(basis=LineBasis.WARRANTY)
    contract = make_billing.line(basis=LineBasis.CONTRACT, unit_price=None)
    assert [line.charged for line in listed(owner)] == [0, 0]
    batch = make_billing.batch(warranty, contract, by=owner)
    assert {entry.charged for entry in batch.entries.all()} == {Decimal("0.00")}


def test_currencies_are_never_added_up(owner: User) -> None:
    make_prices.price_list()
    euro = make.place()
    make_prices.price_list(property=euro, currency="EUR")
    lines = [make_billing.line(), make_billing.line()]
    lines.append(make_billing.line(job=make_billing.done(property=euro)))
    batch = make_billing.batch(*lines, by=owner)
    sums = sums_of_entries(list(batch.entries.all()))
    assert sums.money == {"EUR": Decimal("97.50"), "USD": Decimal("195.00")}


def test_without_a_price_list_the_currency_is_said_to_be_not_known(owner: User) -> None:
    batch = make_billing.batch(by=owner)
    assert sums_of_entries(list(batch.entries.all())).words == ["97.50 (currency not known)"]
    assert batch_plain(batch)["charged"] == [{"currency": None, "amount": "97.50"}]


def test_a_line_names_station_fault_order_number_and_approver_of_its_day(owner: User) -> None:
    case = make.fault(key="F-1")
    station = case.stations.get().station
    job = make_billing.done(fault=case)
    line, early = make_billing.line(job=job), make_billing.line(job=job, on=TODAY - 9 * DAY)
    StandingAuthority.objects.create(
        property=case.property, from_on=TODAY - 9 * DAY, up_to_hours=2, given_by="Sol"
    )
    Authority.objects.create(fault=case, given_by="Ada", given_on=TODAY - DAY, up_to_hours=2)
    Authority.objects.create(fault=case, given_by="Bo", given_on=TODAY, up_to_hours=3)
    Authority.objects.create(fault=case, given_by="Cy", given_on=TODAY + DAY, up_to_hours=4)
    note_order_number(of=case, order_number=" PO  7 ")
    first = {entry.line_id: entry for entry in make_billing.batch(line, early).entries.all()}
    assert (first[line.pk].approver, first[early.pk].approver) == ("Bo", "Sol")
    assert first[line.pk].order_number == "PO 7"
    assert (first[line.pk].fault, first[line.pk].stations) == ("F-1", str(station))
    other = make_billing.line(job=make_billing.done(fault=case, order_number="PO 8"))
    assert make_billing.batch(other).entries.get().order_number == "PO 8"
    round_ = make_billing.line()
    kept = make_billing.batch(round_).entries.get()
    assert (kept.order_number, kept.approver, kept.fault, kept.stations) == ("", "", "", "")


def test_billed_and_unbilled_are_what_was_spent(owner: User) -> None:
    make_prices.price_list()
    case = make.fault()
    job = make_billing.done(fault=case, actual_minutes=240)
    one, two = make_billing.line(job=job), make_billing.line(job=job, quantity=Decimal("0.5"))
    make_billing.line(job=job, basis=LineBasis.WARRANTY, quantity=1)
    running = make_jobs.line(job=make_jobs.started(fault=case), kind="parts", unit="each")
    batch = make_billing.batch(one, by=owner)
    spent = spending_of(case, at=make.NOW, in_money=True).money
    billed = sums_of_entries(list(batch.entries.all())).money["USD"]
    list_of_it = sum(line.charged or 0 for line in listed(owner) if line.job.fault_id == case.pk)
    no_line_yet = Decimal(65)  # four hours, three of them in lines
    assert spent.billed == billed == Decimal("97.50")
    assert two in listed(owner)
    assert spent.amount == billed + list_of_it + (running.amount or 0) + no_line_yet
    take_back_batch(batch=batch, why="wrong", today=TODAY)
    after = spending_of(case, at=make.NOW, in_money=True).money
    assert (after.amount, after.billed) == (spent.amount, 0)
