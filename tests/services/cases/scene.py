"""A small scene for verbs on faults: one property, its people, and each step's usual words."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from faults.cases.engines.consent import Limit
from faults.cases.engines.stages import HowReturned, Stage
from faults.cases.services.moves import move_stations
from faults.cases.services.report import Report, report_fault
from faults.cases.services.told import (
    RETURN_LIST,
    Consent,
    Finding,
    Measured,
    Mending,
    Proving,
    Returning,
    StageFacts,
    UnableToMove,
    Visit,
)
from faults.models import Fault, FaultStation
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Property, Station, User
from tests import make

MAY = date(2025, 5, 1)
TODAY = make.TODAY


@dataclass
class Scene:
    """One property with two stations, its owner and its technician."""

    place: Property
    stations: list[Station]
    owner: User
    technician: User


@as_one_change()
def make_scene(**given: Any) -> Scene:
    """Make the scene; what is given belongs to the property."""
    place = make.place(**given)
    clock = make.controller(property=place, name="B")
    return Scene(
        place,
        [make.station(controller=clock, number=number) for number in (7, 9)],
        make.user(Role.OWNER),
        make.user(Role.TECHNICIAN),
    )


def reported(scene: Scene, *stations: Station, on: date = MAY, **given: Any) -> Fault:
    """Report a fault on these stations, or on all."""
    return report_fault(
        place=scene.place,
        stations=stations or scene.stations,
        report=Report(reported_on=on, **given),
        by=scene.owner,
        at=make.NOW,
        today=TODAY,
    )


def row_of(fault: Fault, station: Station | None = None) -> FaultStation:
    """Return the row of a station in the fault, or its only one."""
    rows = fault.stations.all()
    return rows.get(station=station) if station else rows.get()


def told_for(scene: Scene, fault: Fault, to: Stage, on: date) -> StageFacts | None:
    """Return what a stage asks for, filled in as people mostly do."""
    readings = {row.pk: Measured(24.0, 30.0, 50.0) for row in fault.stations.all()}
    return {
        Stage.SCHEDULED: Visit(scene.technician, on + timedelta(days=1)),
        Stage.FOUND: Finding("solenoid burnt"),
        Stage.AGREED: Consent("Ann", on, Limit(hours=Decimal(4))),
        Stage.MENDED: Mending("two splices", nothing_was_dug=True),
        Stage.PROVEN: Proving(readings, 5, valve_opened_and_shut=True),
        Stage.RETURNED: Returning(HowReturned.MENDED, None, frozenset(RETURN_LIST)),
    }.get(to)


def move(
    scene: Scene,
    fault: Fault,
    to: Stage,
    *rows: FaultStation,
    on: date = TODAY,
    **given: Any,
) -> None:
    """Move rows of the fault, or all, telling what the stage asks for unless given."""
    told = given.pop("facts", told_for(scene, fault, to, on))
    how = {"by": scene.owner, "at": make.NOW, "today": TODAY, "why": "", **given}
    move_stations(
        fault=fault,
        stations=rows or list(fault.stations.all()),
        to=to,
        on=on,
        facts=told,
        **how,
    )
    fault.refresh_from_db()


def refused(scene: Scene, fault: Fault, to: Stage, words: str, **given: Any) -> UnableToMove:
    """Expect the move to be refused in these words, and return the refusal."""
    with pytest.raises(UnableToMove, match=words) as no:
        move(scene, fault, to, **given)
    return no.value


def walked_to(scene: Scene, fault: Fault, *stages: Stage, on: date = TODAY) -> Fault:
    """Move all stations of the fault through these stages in turn."""
    for stage in stages:
        move(scene, fault, stage, on=on)
    return fault


TO_PROVEN = (Stage.FOUND, Stage.AGREED, Stage.MENDED, Stage.PROVEN)
