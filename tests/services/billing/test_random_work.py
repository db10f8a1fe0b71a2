"""Visits, people, lines, limits, corrections and batches in any order: all figures agree.

What is added up here by hand from the rows is what spending, the phone, the list of unbilled work,
the batches and what it earned say; and no line is in two batches.
"""

from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from faults.billing.engines.earning import By
from faults.billing.queries import unbilled_lines
from faults.billing.services.earned import earned
from faults.billing.services.giving import give_to_books, take_back_batch
from faults.cases.services.spending import spending_of
from faults.models import (
    NOT_CHARGED,
    Authority,
    BatchLine,
    BookBatch,
    Crew,
    Fault,
    Job,
    JobLine,
    LineBasis,
    PersonThere,
)
from faults.prices.engines.pricing import Charge, amount_of
from faults.sheet.forms.payload import sheet_payload
from faults.work.services.lines import add_line, correct_line, put_line_back, remove_line
from faults.work.services.people import (
    Times,
    correct_person,
    note_people,
    put_person_back,
    remove_person,
)
from faults.work.services.proposed import visit_of
from faults.work.services.told import LineFacts
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import UnableToAct
from sites.models import User
from tests import make, make_billing, make_jobs, make_prices
from tests.examples import examples
from tests.make import TODAY

AT = datetime(2025, 6, 15, 20, tzinfo=UTC)
D = Decimal
RATES = {Charge.TRACING: D(65), Charge.HELPER: D(40), Charge.STANDBY: D(45)}
DID = st.sampled_from(["tracing", "helper", "standby"])
NTH = st.integers(0, 5)
QUARTERS = st.integers(1, 16)
BASIS = st.sampled_from(LineBasis.values)
CHARGE = st.sampled_from(["", "tracing", "helper", "standby"])
DONE = st.booleans()
STEPS = st.one_of(
    st.tuples(st.just("visit"), QUARTERS, st.integers(1, 2), DONE),
    st.tuples(st.just("people"), NTH, QUARTERS, DID, st.integers(0, 2)),
    st.tuples(st.just("correct_person"), NTH, QUARTERS, DID),
    st.tuples(st.just("strike_person"), NTH),
    st.tuples(st.just("line"), NTH, QUARTERS, BASIS, CHARGE),
    st.tuples(st.just("correct_line"), NTH, QUARTERS, BASIS, CHARGE),
    st.tuples(st.just("strike_line"), NTH),
    st.tuples(st.just("give"), st.lists(NTH, min_size=1, max_size=3, unique=True)),
    st.tuples(st.just("take_back"), NTH),
    st.tuples(st.just("limit"), QUARTERS),
)


@dataclass
class Work:
    """One fault, and all that happens to it."""

    owner: User = field(default_factory=lambda: make.user(Role.OWNER))
    fault: Fault = field(default_factory=make.fault)
    people: list[User] = field(default_factory=lambda: [make.user(), make.user()])
    crews: list[Crew] = field(default_factory=list)
    on: timedelta = timedelta(0)

    def __post_init__(self) -> None:
        make_prices.price_list(RATES)
        alone, two = make_jobs.crew(self.people[0]), make_jobs.crew()
        # A crew of both, as it was before the one of them went alone.
        for user in self.people:
            make_jobs.member(crew=two, user=user, to_on=TODAY + timedelta(days=1))
        self.crews = [alone, two]

    def do(self, step: tuple[Any, ...]) -> None:
        """Do it by its verb; what the verb refuses changes nothing."""
        with suppress(UnableToAct):
            getattr(self, step[0])(*step[1:])

    def nth(self, rows: Any, n: int) -> Any:
        """One of the rows, or a refusal where there is none."""
        found = list(rows.order_by("pk"))
        if not found:
            raise UnableToAct("nothing is there")
        return found[n % len(found)]

    def visit(self, quarters: int, people: int, done: bool) -> None:
        given = {"fault": self.fault, "crew": self.crews[people - 1]}
        began = datetime(2025, 6, 15, 8, tzinfo=UTC)
        if done:
            make_billing.done(**given, started_at=began, actual_minutes=15 * quarters)
        else:
            make_jobs.started(**given, started_at=began)

    def _times(self, quarters: int) -> Times:
        """Each a day earlier, so that nobody is at two places at once."""
        self.on += timedelta(days=1)
        end = datetime.combine(TODAY, time(8)) + timedelta(minutes=15 * quarters)
        return Times(TODAY - self.on, time(8), end.time())

    def people_there(self) -> Any:
        return PersonThere.objects.filter(job__fault=self.fault)

    def people_(self, n: int, quarters: int, did: str, helpers: int) -> None:
        note_people(
            job=self.nth(Job.objects.filter(fault=self.fault), n),
            people=self.people[:1],
            others=[f"helper {each}" for each in range(helpers)],
            did=did,
            times=self._times(quarters),
            by=self.owner,
            at=AT,
        )

    def correct_person(self, n: int, quarters: int, did: str) -> None:
        person = self.nth(self.people_there(), n)
        times = self._times(quarters)
        correct_person(person=person, did=did, times=times, why="x", at=AT)

    def strike_person(self, n: int) -> None:
        person = self.nth(self.people_there(), n)
        if person.removed_on:
            put_person_back(person=person)
        else:
            remove_person(person=person, why="x", today=TODAY)

    def _facts(self, quarters: int, basis: str, charge: str) -> LineFacts:
        kind = "standby" if charge == "standby" else "time"
        rate = RATES[Charge(charge or "tracing")]
        return LineFacts(kind, basis, TODAY, "work", D(quarters) / 4, "h", rate, charge)

    def line(self, n: int, quarters: int, basis: str, charge: str) -> None:
        job = self.nth(Job.objects.filter(fault=self.fault), n)
        facts = self._facts(quarters, basis, charge)
        add_line(job=job, facts=facts, by=self.owner, today=TODAY)

    def correct_line(self, n: int, quarters: int, basis: str, charge: str) -> None:
        line = self.nth(JobLine.objects.all(), n)
        facts = self._facts(quarters, basis, charge)
        correct_line(line=line, facts=facts, why="x", today=TODAY)

    def strike_line(self, n: int) -> None:
        line = self.nth(JobLine.objects.all(), n)
        if line.removed_on:
            put_line_back(line=line)
        else:
            remove_line(line=line, why="x", today=TODAY)

    def give(self, which: list[int]) -> None:
        lines = {line.pk: line for line in (self.nth(JobLine.objects.all(), n) for n in which)}
        give_to_books(lines=list(lines.values()), given_on=TODAY, by=self.owner, today=TODAY)

    def take_back(self, n: int) -> None:
        take_back_batch(batch=self.nth(BookBatch.objects.all(), n), why="x", today=TODAY)

    def limit(self, quarters: int) -> None:
        Authority.objects.create(
            fault=self.fault, given_by="Ada", given_on=TODAY, up_to_hours=D(quarters) / 4
        )


def man_min(job: Job) -> dict[str, float]:
    """Man-minutes of a visit by what was done, added up by hand, at `AT`."""
    found: Counter[str] = Counter()
    for person in PersonThere.objects.filter(job=job, removed_on=None):
        found[person.did] += person.minutes
    entered = sum(found.values())
    assert job.started_at is not None
    assert job.crew is not None
    people = job.crew.members.count()
    if job.actual_minutes is not None:
        whole = entered or job.actual_minutes * people
    else:
        whole = max((AT - job.started_at).total_seconds() / 60 * people, entered)
    found["tracing"] += round(whole - entered)
    return dict(found)


def open_money(job: Job, lines: list[JobLine]) -> Decimal:
    """Money of the hours that no line names: first by charge, then whatever is over."""
    hours = {did: D(minutes) / 60 for did, minutes in man_min(job).items()}
    spare = D(0)
    for line in lines:
        took = min(hours.get(line.charge, D(0)), line.quantity)
        if line.charge in hours:
            hours[line.charge] -= took
        spare += line.quantity - took
    money = D(0)
    for charge, rate in RATES.items():
        left = hours.get(charge.value, D(0))
        took = min(spare, left)
        spare -= took
        money += amount_of(left - took, rate)
    return money


def own_man_min(job: Job, told: dict[str, Any]) -> float:
    """What `ownManMin` of the phone (faults/sheet/static/faults/sheet/keep.js) works out."""
    entered = float(told["entered_man_min"])
    if job.actual_minutes is not None:
        return entered or job.actual_minutes * float(told["people"])
    assert job.started_at is not None
    return max((AT - job.started_at).total_seconds() / 60 * told["people"], entered)


class AnyOrder(TestCase):
    """Whatever is done, and in whichever order."""

    @given(steps=st.lists(STEPS, min_size=4, max_size=22))
    @settings(max_examples=examples(25), deadline=None)
    def test_all_figures_agree(self, steps: list[tuple[Any, ...]]) -> None:
        work = Work()
        work.do(("visit", 12, 2, True))
        for step in steps:
            work.do(("people_", *step[1:]) if step[0] == "people" else step)
        jobs = list(Job.objects.filter(fault=work.fault).order_by("pk"))
        standing = list(JobLine.objects.filter(removed_on=None).order_by("pk"))
        given = list(BatchLine.objects.filter(is_taken_back=False))
        spent = spending_of(work.fault, at=AT, in_money=True)

        # Man-hours, and money, are what the rows come to.
        assert spent.used_man_min == sum(sum(man_min(job).values()) for job in jobs)
        billable = sum((line.amount or D(0) for line in standing if line.basis == "billable"), D(0))
        of = {job.pk: [line for line in standing if line.job_id == job.pk] for job in jobs}
        waiting = sum((open_money(job, of[job.pk]) for job in jobs), D(0))
        assert spent.money.amount == billable + waiting

        # Billed and unbilled are what was spent, and no line is in two batches.
        assert max(Counter(row.line_id for row in given).values(), default=0) <= 1
        billed = sum((row.charged for row in given if row.basis == "billable"), D(0))
        assert spent.money.billed == billed
        listed = {line.pk for line in unbilled_lines(work.owner)}
        finished = {line.pk for line in standing if line.job.actual_minutes is not None}
        assert listed | {row.line_id for row in given} == finished
        assert not listed & {row.line_id for row in given}
        assert all(
            (row.charged, row.quantity) == (row.line.charged, row.line.quantity) for row in given
        )

        # The phone has the server's figure.
        for job in jobs:
            told = sheet_payload(job=job, user=work.owner, today=TODAY, at=AT)["authority"]
            assert (told is None) == (not spent.is_allowed)
            if told is not None:
                left = told["left_man_min"] - own_man_min(job, told)
                assert abs(left - (spent.left_man_min or 0)) < 1

        # What it earned says the same, for a visit that is over.
        if all(job.actual_minutes is not None for job in jobs):
            since = TODAY - timedelta(days=400)
            (row,) = earned(work.owner, By.FAULT, since=since, until=TODAY).totals
            damage = [line for line in standing if line.basis == "damage"]
            paid = sum((line.amount or D(0) for line in damage), D(0))
            assert row.spent == spent.money.amount + paid
            assert row.billed == sum((each.charged for each in given), D(0))
            assert row.spent_h == D(round(spent.used_man_min)) / 60
            free = sum((line.quantity for line in standing if line.basis in NOT_CHARGED), D(0))
            assert row.free_h == free

        # A line that is proposed, once taken down, is not proposed again.
        for job in jobs:
            visit = visit_of(job, of[job.pk])
            for one in visit.proposed if visit else ():
                facts = LineFacts(
                    one.kind, "billable", TODAY, "x", one.quantity, one.unit, one.price,
                    one.charge.value,
                )  # fmt: skip
                add_line(job=job, facts=facts, by=work.owner, today=TODAY)
            after = visit_of(job, list(job.lines.all()))
            assert after is not None
            assert list(after.proposed) == []
