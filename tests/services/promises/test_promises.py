"""Promises: offered by the plan, kept as given, warned of when they slip, counted when decided."""

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from faults.due.services.raising import raise_by_rules
from faults.models import Fault, FollowUp, FollowUpKind, Job, Promise
from faults.promises.services.outlook import habits_of_company, outlook_of
from faults.promises.services.parts import Part
from faults.promises.services.promising import (
    Offer,
    UnableToPromise,
    offers_of,
    promise_a_day,
)
from faults.promises.services.standing import is_kept, shares_of
from faults.promises.services.words import letters, share_words
from sites.kernel.engines.roles import Role
from tests import make, make_due, make_jobs
from tests.services.promises.finished import ago, finished

pytestmark = pytest.mark.django_db

TODAY, NOW = make.TODAY, make.NOW


def planned(fault: Fault, *, in_days: int, **given: Any) -> Job:
    day = TODAY + timedelta(days=in_days)
    return make_jobs.job(fault=fault, crew=make_jobs.crew(), day=day, **given)


def test_habits_are_what_finished_faults_took() -> None:
    finished(reported=30, visits=(26, 20), closed=19)
    finished(reported=12, visits=(10,), closed=10)
    make.fault(reported_on=ago(5))
    make_due.asked(asked_on=ago(9), answer="yes", answered_on=ago(6))
    found = habits_of_company(at=NOW)
    assert sorted(found.first) == [2, 4]
    assert sorted(found.visits) == [1, 2]
    assert list(found.gaps) == [6]
    assert sorted(found.tails) == [0, 1]
    assert list(found.answers) == [3]


def test_a_later_visit_and_a_question_move_the_days_and_a_closed_fault_has_none() -> None:
    early, late, asked = (make.fault(reported_on=ago(1)) for _ in range(3))
    planned(early, in_days=2)
    planned(late, in_days=12)
    planned(asked, in_days=2)
    make_due.asked(fault=asked, asked_on=TODAY)
    looks = [outlook_of(Part(fault), at=NOW).chance(9) for fault in (early, asked, late)]
    assert looks[0] > looks[1] > looks[2] == 0
    gone = finished(reported=9, visits=(5,), closed=4)
    assert offers_of(gone, today=TODAY, at=NOW) == []


def promised(fault: Fault, offer: Offer | None = None, to: str = "Ann") -> Promise:
    chosen = offer or offers_of(fault, today=TODAY, at=NOW)[1]
    user = make.user(Role.OWNER)
    return promise_a_day(fault=fault, offer=chosen, said_to=to, by=user, today=TODAY, at=NOW)


def test_what_is_offered_is_kept_as_given_and_nothing_else() -> None:
    fault = make.fault(reported_on=ago(1))
    job = planned(fault, in_days=3)
    offers = offers_of(fault, today=TODAY, at=NOW)
    given = promised(fault, offers[1])
    assert (given.by_on, given.tenths, given.said_to) == (offers[1].by_on, 8, "Ann")
    assert given.said_by is not None
    assert (given.said_on, str(given.said_by.pk)) == (TODAY, str(given.said_by_id))
    Job.objects.filter(pk=job.pk).update(day=TODAY + timedelta(days=30))
    with pytest.raises(UnableToPromise, match="plan has changed"):
        promised(fault, offers[1])
    with pytest.raises(UnableToPromise, match="To whom"):
        promised(fault, to=" ")
    Fault.objects.filter(pk=fault.pk).update(stage="withdrawn", closed_on=TODAY)
    with pytest.raises(UnableToPromise, match="closed"):
        promised(fault, offers[1])
    assert Promise.objects.count() == 1


def round_on(at: datetime = NOW) -> list[FollowUp]:
    raise_by_rules(at=at, go_on=lambda: None)
    rows = FollowUp.objects.open().filter(kind=FollowUpKind.PROMISE_SLIPS)
    return list(rows.order_by("pk"))


def test_a_promise_that_slips_is_due_at_once_and_lapses_when_it_holds_again() -> None:
    fault, other = make.fault(reported_on=ago(1)), make.fault(reported_on=ago(1))
    jobs = [planned(one, in_days=3) for one in (fault, other)]
    given = promised(fault)
    promised(other)
    assert round_on() == []
    Job.objects.filter(pk=jobs[0].pk).update(day=given.by_on + timedelta(days=2))
    rows = round_on()
    assert [(row.fault_id, row.due_on) for row in rows] == [(fault.pk, TODAY)]
    assert round_on() == rows
    Job.objects.filter(pk=jobs[0].pk).update(day=TODAY + timedelta(days=3))
    assert round_on() == []


def test_only_the_newest_promise_of_an_open_fault_is_watched() -> None:
    fault = make.fault(reported_on=ago(1))
    planned(fault, in_days=20)
    make_due.promise(fault, by_on=TODAY + timedelta(days=5))
    assert len(round_on()) == 1
    make_due.promise(fault, by_on=TODAY + timedelta(days=300))
    assert round_on() == []


def test_kept_up_to_its_day_and_a_fault_given_up_does_not_count() -> None:
    kept = finished(reported=20, visits=(9,), closed=5)
    rows = [
        make_due.promise(kept, said_on=ago(15), by_on=ago(5)),
        make_due.promise(kept, said_on=ago(15), by_on=ago(6)),
        make_due.promise(make.fault(), by_on=TODAY),
        make_due.promise(make.fault(), said_on=ago(3), by_on=ago(1)),
    ]
    given_up = make.fault()
    Fault.objects.filter(pk=given_up.pk).update(stage="given up", closed_on=TODAY)
    rows.append(make_due.promise(Fault.objects.get(pk=given_up.pk)))
    assert [is_kept(row, at=NOW) for row in rows] == [True, False, None, False, None]
    (share,) = shares_of(rows, at=NOW)
    assert (share.tenths, share.kept, share.of) == (8, 1, 3)
    assert share_words(share).endswith("1 of 3 kept. Too few to tell.")
    (more,) = shares_of([*rows, rows[0], rows[0]], at=NOW)
    # Wilson of 3 of 5: 23 to 88 % (a common worked example, from memory).
    assert share_words(more).endswith("So 23 to 88 % are kept, 19 times of 20.")


def test_words_are_ready_in_both_languages() -> None:
    fault = make.fault()
    english, spanish = letters(make_due.promise(fault, by_on=date(2026, 6, 11)))
    assert (english[0], spanish[0]) == ("en", "es")
    assert "by Thursday 11 June 2026, 8 times of ten" in english[2]
    assert "11 de junio de 2026" in spanish[2]
    assert "8 de cada diez" in spanish[2]
