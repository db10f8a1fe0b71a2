"""Each named rule on batches refuses what it names."""

from typing import Any

import pytest

from faults.models import BatchLine, BookBatch
from tests import make, make_billing
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def again(entry: BatchLine, **given: Any) -> BatchLine:
    """Write a second row that says the same as an entry."""
    entry.pk = None
    entry._state.adding = True
    for name, value in given.items():
        setattr(entry, name, value)
    entry.save()
    return entry


def test_book_batch_taken_back_with_a_reason() -> None:
    BookBatch.objects.create(given_on=make.TODAY)
    BookBatch.objects.create(given_on=make.TODAY, taken_back_on=make.TODAY, why_taken_back="x")
    for one in ({"taken_back_on": make.TODAY}, {"why_taken_back": "x"}):
        with refused_by("book_batch_taken_back_with_a_reason"):
            BookBatch.objects.create(given_on=make.TODAY, **one)


def test_batch_line_in_one_batch_that_stands() -> None:
    entry = make_billing.batch().entries.get()
    other = BookBatch.objects.create(given_on=make.TODAY)
    again(entry, batch=other, is_taken_back=True)
    with refused_by("batch_line_in_one_batch_that_stands"):
        again(entry, batch=BookBatch.objects.create(given_on=make.TODAY), is_taken_back=False)


def test_batch_line_once_per_batch() -> None:
    entry = make_billing.batch().entries.get()
    with refused_by("batch_line_once_per_batch"):
        again(entry, is_taken_back=True)


def test_batch_line_charges_not_below_0() -> None:
    entry = make_billing.batch().entries.get()
    entry.charged = 0
    entry.save()
    with refused_by("batch_line_charges_not_below_0"):
        entry.charged = -1
        entry.save()


def test_person_there_some_minutes() -> None:
    make_billing.there(minutes=1)
    with refused_by("person_there_some_minutes"):
        make_billing.there(minutes=0)


def test_person_there_has_a_name() -> None:
    with refused_by("person_there_has_a_name"):
        make_billing.there(name="")


def test_damage_claim_one_that_stands_per_fault() -> None:
    first = make_billing.claim(dropped_on=make.TODAY, why_dropped="x")
    make_billing.claim(fault=first.fault)
    with refused_by("damage_claim_one_that_stands_per_fault"):
        make_billing.claim(fault=first.fault)


def test_damage_claim_names_who_is_liable() -> None:
    with refused_by("damage_claim_names_who_is_liable"):
        make_billing.claim(liable_party="")


def test_damage_claim_dropped_with_a_reason() -> None:
    for one in ({"dropped_on": make.TODAY}, {"why_dropped": "x"}):
        with refused_by("damage_claim_dropped_with_a_reason"):
            make_billing.claim(**one)


def test_damage_claim_paid_or_dropped() -> None:
    make_billing.claim(paid_on=make.TODAY)
    with refused_by("damage_claim_paid_or_dropped"):
        make_billing.claim(paid_on=make.TODAY, dropped_on=make.TODAY, why_dropped="x")
