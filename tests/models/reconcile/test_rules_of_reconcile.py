"""Each named rule on central lists and decisions refuses what it names."""

import pytest

from sites.models import (
    CentralFile,
    CentralList,
    Decision,
    ListedStation,
    NewestList,
    StandingDifference,
)
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


def test_controller_has_one_newest_list() -> None:
    listed = CentralList.objects.create(filename="list.csv", at=make.NOW)
    row = {"property": make.place(), "controller_name": "a", "list": listed}
    NewestList.objects.create(**row)
    with refused_by("controller_has_one_newest_list"):
        NewestList.objects.create(**row)


def test_difference_stands_once() -> None:
    row = {
        "property": make.place(),
        "controller_name": "A",
        "number": 1,
        "difference": "unknown here",
        "list": CentralList.objects.create(filename="list.csv", at=make.NOW),
        "since": make.NOW,
    }
    StandingDifference.objects.create(**row)
    with refused_by("difference_stands_once"):
        StandingDifference.objects.create(**row)


def test_central_file_is_read_once() -> None:
    row = {"name": "a.csv", "sha256": "0" * 64, "changed_ns": 1, "size": 2, "at": make.NOW}
    CentralFile.objects.create(**row)
    with refused_by("central_file_is_read_once"):
        CentralFile.objects.create(**row | {"name": "b.csv"})
