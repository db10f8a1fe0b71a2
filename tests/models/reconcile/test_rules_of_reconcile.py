"""Each named rule on central lists and decisions refuses what it names."""

import pytest

from sites.models import CentralList, Decision, ListedStation
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def test_central_list_names_a_station_once() -> None:
    listed = CentralList.objects.create(filename="list.csv", at=make.NOW)
    row = {"list": listed, "controller_name": "A", "number": 1}
    ListedStation.objects.create(**row)
    with refused_by("central_list_names_a_station_once"):
        ListedStation.objects.create(**row)


def test_decision_stands_once_per_difference() -> None:
    row = {
        "property": make.place(),
        "controller_name": "A",
        "number": 1,
        "difference": "unknown here",
        "decided": "not ours",
        "at": make.NOW,
    }
    Decision.objects.create(**row)
    with refused_by("decision_stands_once_per_difference"):
        Decision.objects.create(**row)
