"""A station that waters and cannot be stopped is due at once, until somebody shut its water."""

from datetime import timedelta

import pytest

from faults.due.services.raising import raise_by_rules
from faults.due.services.words import sentence
from faults.models import Fault, FollowUp, FollowUpKind, FollowUpState
from tests import make

pytestmark = pytest.mark.django_db

REPORTED = make.TODAY - timedelta(days=1)


def raised() -> list[FollowUp]:
    """What a round leaves open of this kind."""
    raise_by_rules(at=make.NOW)
    rows = FollowUp.objects.open().filter(kind=FollowUpKind.STAYS_ON)
    return list(rows.order_by("pk"))


def test_each_is_due_once_from_the_day_it_was_reported() -> None:
    first, second = (make.fault(symptom="stays on", reported_on=REPORTED) for _ in range(2))
    make.fault(symptom="open", reported_on=REPORTED)
    rows = raised()
    assert [(row.fault, row.due_on) for row in rows] == [(first, REPORTED), (second, REPORTED)]
    assert "shut the valve's flow control or the main by hand" in sentence(rows[0])
    assert len(raised()) == 2


def test_what_somebody_shut_is_not_raised_again() -> None:
    make.fault(symptom="stays on", reported_on=REPORTED)
    (row,) = raised()
    row.state, row.done_on = FollowUpState.DONE, make.TODAY
    row.save()
    assert raised() == []


@pytest.mark.parametrize(("stage", "left"), [("agreed", 1), ("mended", 0), ("withdrawn", 0)])
def test_it_lapses_with_the_mend_and_with_another_symptom(stage: str, left: int) -> None:
    fault = make.fault(symptom="stays on", reported_on=REPORTED)
    assert len(raised()) == 1
    Fault.objects.filter(pk=fault.pk).update(stage=stage)
    assert len(raised()) == left
    Fault.objects.filter(pk=fault.pk).update(stage="reported", symptom="open")
    assert raised() == []
