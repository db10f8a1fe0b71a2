"""Fern Row: one property on which every count can be made by looking.

On make.TODAY five of its seven stations are off central control:

    A:1  wire    battery timer since 2025-01-01, fault F-1 open
    A:2  valve   by hand since 2025-03-01
    A:3          on central control
    A:4          on central control, off for a week in 2024
    A:7  wire    battery timer since some day of 2021
    B:1  link    controller B has had no link since 2025-06-05
    B:2  link
    C:1          controller C is not meant to be linked
"""

from dataclasses import dataclass
from datetime import date

from faults.models import Fault
from sites.kernel.services.verbs import as_one_change
from sites.models import Central, Client, Controller, Property, Station, StopgapKind
from sites.stopgaps.services.spells import rebuild_spells
from tests import make


@dataclass(frozen=True)
class FernRow:
    """The property, its stations by the names that people use, and its fault."""

    property: Property
    stations: dict[str, Station]
    fault: Fault

    def __getitem__(self, name: str) -> Station:
        return self.stations[name]


@as_one_change()
def make_fern_row(*, code: str = "Fern Row", client: Client | None = None) -> FernRow:
    """Make the property."""
    place = make.place(code=code, client=client or make.client(name=f"{code} Trust"))
    stations = {
        f"{clock.name}:{number}": make.station(
            controller=clock, number=number, name=f"lawn {clock.name}{number}"
        )
        for clock, numbers in _controllers(place).items()
        for number in numbers
    }
    wire = {"station": stations["A:1"], "on": date(2025, 1, 1)}
    make.stopgap(**wire)
    make.stopgap(
        station=stations["A:2"],
        on=date(2025, 3, 1),
        kind=StopgapKind.BY_HAND,
        reason="valve or solenoid",
    )
    make.stopgap(station=stations["A:4"], on=date(2024, 5, 1), removed_on=date(2024, 5, 8))
    some_day = {"fitted_earliest": date(2021, 1, 1), "fitted_latest": date(2021, 12, 31)}
    make.stopgap(station=stations["A:7"], **some_day)
    rebuild_spells(station.pk for station in stations.values())
    return FernRow(place, stations, make.fault(stations["A:1"], key=f"{code[0]}-1"))


def _controllers(place: Property) -> dict[Controller, tuple[int, ...]]:
    linked = make.controller(property=place, name="A")
    lost = make.controller(property=place, name="B", central=Central.LINK_LOST)
    outside = make.controller(property=place, name="C", central=Central.NOT_MEANT)
    make.central_state(controller=lost, from_on=date(2025, 6, 5))
    make.central_state(controller=outside, state=Central.NOT_MEANT, from_on=None)
    return {linked: (1, 2, 3, 4, 7), lost: (1, 2), outside: (1,)}
