"""The office of the tests of reconciling: its property, its stations, and the lists it brings."""

from dataclasses import dataclass
from datetime import date

from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.load.services.files import RegisterFile
from sites.models import CentralList, Controller, Decision, Property, Station, Stopgap, User
from sites.reconcile.services.deciding import decide
from sites.reconcile.services.differences import Line, compare
from sites.reconcile.services.lists import take_list
from tests import make

ON, OFF = "on there, off here", "off there, on here"
HERE, THERE = "unknown here", "unknown there"


@dataclass(frozen=True)
class Office:
    """A user of the office, and a property with stations A:1 (off), A:2 and A:3 (on)."""

    user: User
    place: Property
    clock: Controller
    stations: dict[int, Station]
    stopgap: Stopgap

    def take(self, *rows: str, place: Property | None = None, heading: str = "") -> CentralList:
        """Bring a list of rows."""
        heading = heading or "property code,controller,station number,enabled"
        text = "\n".join([heading, *rows])
        return take_list(
            files=[RegisterFile("central.csv", text.encode())],
            place=place,
            by=self.user,
            at=make.NOW,
            today=make.TODAY,
        )

    def lines(self, central: CentralList) -> list[Line]:
        """Return the differences that nobody has decided."""
        return compare(central, self.user).open

    def differences(self, central: CentralList) -> dict[str, str]:
        """Return the difference by station."""
        return {line.name: line.difference for line in self.lines(central)}

    def settle(self, central: CentralList, way: str, *, on: date | None = None) -> Decision:
        """Settle the only difference."""
        lines = self.lines(central)
        decide(lines=lines, way=way, by=self.user, at=make.NOW, today=make.TODAY, on=on)
        return Decision.objects.get(number=lines[0].number, difference=lines[0].difference)


@as_one_change()
def make_office() -> Office:
    """Make a dispatcher, and Fern Row with A:1 off central and A:2 and A:3 on it."""
    place = make.place(code="Fern Row", name="Fern Row gardens")
    clock = make.controller(property=place, name="A")
    stations = {n: make.station(controller=clock, number=n) for n in (1, 2, 3)}
    stopgap = make.stopgap(station=stations[1], on=date(2025, 1, 1))
    return Office(make.user(Role.DISPATCHER), place, clock, stations, stopgap)


AGREED = ("Fern Row,A,1,no", "Fern Row,A,2,yes", "Fern Row,A,3,yes")


def without(number: int, *more: str) -> list[str]:
    """Return the agreed rows without one station, and further rows."""
    return [row for row in AGREED if f",{number}," not in row] + list(more)
