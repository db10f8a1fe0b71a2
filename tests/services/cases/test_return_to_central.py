"""Returning a station: the list, what stood in ends, and what stays for a time."""

from datetime import date, timedelta
from typing import Any

import pytest

from faults.cases.engines.stages import HowReturned, Stage
from faults.cases.services.told import RETURN_LIST, Returning, UnableToMove
from faults.models import Fault
from sites.models import Central, Spell
from sites.stopgaps.services.stopgap_rules import UnableToFit
from tests import make
from tests.services.cases.scene import (
    TO_PROVEN,
    TODAY,
    Scene,
    move,
    reported,
    row_of,
    walked_to,
)

pytestmark = pytest.mark.django_db

ALL = frozenset(RETURN_LIST)


def _proven(scene: Scene, *, fitted: date | None = date(2025, 2, 1), **given: Any) -> Fault:
    station = scene.stations[0]
    if fitted:
        make.stopgap(station=station, on=fitted)
    return walked_to(scene, reported(scene, station, **given), *TO_PROVEN)


def _return(scene: Scene, fault: Fault, how: HowReturned, on: date | None = None) -> None:
    move(scene, fault, Stage.RETURNED, facts=Returning(how, on, ALL))


def test_returning_ends_the_stopgap_and_the_spell(scene: Scene) -> None:
    fault = _proven(scene)
    _return(scene, fault, HowReturned.MENDED)
    stopgap = scene.stations[0].stopgaps.get()
    assert stopgap.removed_on == TODAY
    assert stopgap.end_reason == "returned to central: mended"
    assert Spell.objects.get().to_on == TODAY
    assert (row_of(fault).how_returned, fault.closed_on) == ("mended", TODAY)


def test_the_fault_of_a_station_that_was_never_off_returns_too(scene: Scene) -> None:
    fault = _proven(scene, fitted=None)
    _return(scene, fault, HowReturned.SPARE)
    assert fault.stage == "returned"


@pytest.mark.parametrize("missing", RETURN_LIST)
def test_each_point_of_the_list_is_needed(scene: Scene, missing: str) -> None:
    fault = _proven(scene)
    with pytest.raises(UnableToMove, match="Not yet") as no:
        move(
            scene, fault, Stage.RETURNED, facts=Returning(HowReturned.MENDED, None, ALL - {missing})
        )
    assert no.value.field == missing
    assert scene.stations[0].stopgaps.get().removed_on is None


@pytest.mark.parametrize("how", [HowReturned.DOUBLED, HowReturned.SURFACE])
def test_a_temporary_way_needs_the_clients_day(scene: Scene, how: HowReturned) -> None:
    fault = _proven(scene)
    with pytest.raises(UnableToMove, match="temporary") as no:
        _return(scene, fault, how)
    assert no.value.field == "accepted_by_client_on"


@pytest.mark.parametrize(
    ("how", "kind"),
    [(HowReturned.DOUBLED, "doubled"), (HowReturned.SURFACE, "surface wire")],
)
def test_a_temporary_way_stays_as_an_open_stopgap_on_central(
    scene: Scene, how: HowReturned, kind: str
) -> None:
    fault = _proven(scene)
    _return(scene, fault, how, TODAY)
    old, new = scene.stations[0].stopgaps.order_by("pk")
    assert (old.removed_on, new.kind, new.removed_on) == (TODAY, kind, None)
    assert (new.counted_from, new.accepted_by_client_on) == (TODAY, TODAY)
    assert Spell.objects.get().to_on == TODAY
    assert row_of(fault).accepted_by_client_on == TODAY


def test_a_temporary_wire_that_lies_there_already_stays(scene: Scene) -> None:
    laid = make.stopgap(station=scene.stations[0], kind="surface wire", on=date(2025, 3, 1))
    fault = _proven(scene, fitted=None)
    _return(scene, fault, HowReturned.SURFACE, TODAY)
    assert list(scene.stations[0].stopgaps.open()) == [laid]


def test_a_stopgap_seen_after_that_day_is_named(scene: Scene) -> None:
    fault = _proven(scene, fitted=None)
    make.stopgap(station=scene.stations[0], on=TODAY + timedelta(days=1))
    with pytest.raises(UnableToFit, match="after this day"):
        _return(scene, fault, HowReturned.MENDED)


def test_a_controller_without_its_link_holds_the_station_back(scene: Scene) -> None:
    fault = _proven(scene)
    clock = scene.stations[0].controller
    clock.central = Central.LINK_LOST
    clock.save()
    with pytest.raises(UnableToMove, match="has lost its link"):
        _return(scene, fault, HowReturned.MENDED)


def test_the_same_break_comes_back_within_its_warranty(scene: Scene) -> None:
    fault = _proven(scene)
    make.break_found(fault=fault, mended_on=TODAY)
    _return(scene, fault, HowReturned.MENDED)
    move(scene, fault, Stage.REPORTED, why="dead again at the same splice")
    assert (fault.stage, row_of(fault).how_returned) == ("reported", "")


def test_after_its_warranty_a_break_is_a_new_fault(scene: Scene) -> None:
    fault = _proven(scene)
    make.break_found(fault=fault, mended_on=date(2024, 1, 1), found_on=date(2024, 1, 1))
    _return(scene, fault, HowReturned.MENDED)
    with pytest.raises(UnableToMove, match="Report a new fault instead"):
        move(scene, fault, Stage.REPORTED, why="dead again")
