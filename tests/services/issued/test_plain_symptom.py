"""What the trouble is, for a reader who is not of the trade."""

import pytest

from faults.models import Symptom
from reports.issued.services.faults_part import plain_symptom
from tests import make

pytestmark = pytest.mark.django_db


def test_the_term_of_the_trade_stands_behind_plain_words() -> None:
    fault = make.fault(symptom=Symptom.LEAK.value)
    assert plain_symptom(fault) == "current escapes from the wire into the soil (leak to earth)"


def test_every_symptom_but_not_known_is_said_in_plain_words() -> None:
    for symptom in Symptom:
        fault = make.fault(symptom=symptom.value)
        is_plain = plain_symptom(fault) != fault.symptom_words()
        assert is_plain == (symptom is not Symptom.NOT_KNOWN)


def test_the_other_station_is_named() -> None:
    other = make.station(number=12)
    fault = make.fault(symptom=Symptom.RUNS_WITH.value, runs_with=other)
    assert plain_symptom(fault) == f"waters when another station is called ({other})"
