"""Each named rule on promises refuses what it names, and none is changed."""

from datetime import timedelta

import pytest

from faults.models import PromiseIsKept
from tests import make, make_due
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def test_promise_for_a_day_to_come() -> None:
    make_due.promise(make.fault(), by_on=make.TODAY)
    with refused_by("promise_for_a_day_to_come"):
        make_due.promise(make.fault(), by_on=make.TODAY - timedelta(days=1))


def test_promise_chance_from_5_to_9_of_ten() -> None:
    for tenths in (5, 9):
        make_due.promise(make.fault(), tenths=tenths)
    for tenths in (4, 10):
        with refused_by("promise_chance_from_5_to_9_of_ten"):
            make_due.promise(make.fault(), tenths=tenths)


def test_a_promise_stays_as_it_was_given() -> None:
    given = make_due.promise(make.fault())
    given.by_on += timedelta(days=3)
    with pytest.raises(PromiseIsKept):
        given.save()
