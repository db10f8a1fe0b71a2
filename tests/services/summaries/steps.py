"""Steps that people do through verbs, drawn from a seed: whatever summaries follow from."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from faults.cases.engines.stages import Stage
from faults.cases.services.break_rules import BreakFacts
from faults.cases.services.breaks import correct_break, record_break
from faults.cases.services.moves import move_stations
from faults.cases.services.report import Report, report_fault
from faults.cases.services.splitting import rejoin_leg, split_leg
from faults.models import Break, Cause, Fault, FaultStation
from sites.ground.services.legs import change_leg, retire_leg
from sites.ground.services.renewals import renew_leg, take_back_renewal
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import UnableToAct
from sites.models import Controller, Leg, Property, Renewal, Station, Stopgap, User, Wire
from sites.register.services import central, retire
from sites.stopgaps.services import stopgaps
from sites.wires.services.laying import change_wire, retire_wire
from tests import make
from tests.services.hotspots.trunk import SINCE, trunk
from tests.services.stopgaps.given import timer

LATE = date(2026, 1, 1)
STATES = ["linked", "link lost", "not known", "not meant to be linked"]


@dataclass
class Yard:
    """One property with a trunk, and who works on it."""

    place: Property
    by: User
    drawn: random.Random

    def one(self, model: Any, **wanted: Any) -> Any:
        """Draw a row of the property; refuse as a page would, where there is none."""
        rows = list(model.objects.filter(**wanted).order_by("pk"))
        if not rows:
            raise UnableToAct("none")
        return self.drawn.choice(rows)

    def leg(self) -> Leg:
        """Draw a leg."""
        found: Leg = self.one(Leg, property=self.place)
        return found

    def day(self) -> date:
        """Draw a day since records are kept."""
        return SINCE + timedelta(days=self.drawn.randrange(2100))


def make_yard(seed: int) -> Yard:
    """Make a property with four legs and three stations."""
    made = trunk((100.0, 200.0, 300.0, 50.0))
    for _ in range(2):
        station = make.station(controller=made.station.controller)
        wire = make.wire(property=made.place)
        wire.lies.create(leg=made.legs[0])
        wire.feeds.create(station=station)
    return Yard(made.place, make.user(Role.OWNER), random.Random(seed))


def step(yard: Yard) -> str:
    """Do one drawn step through its verb; return its name, with a mark where it was refused."""
    name = yard.drawn.choice(sorted(STEPS))
    try:
        STEPS[name](yard)
    except UnableToAct:
        return f"{name} (refused)"
    return name


def _report(yard: Yard) -> None:
    station = yard.one(Station, controller__property=yard.place)
    how = {"by": yard.by, "at": make.NOW, "today": LATE}
    report_fault(place=yard.place, stations=[station], report=Report(yard.day()), **how)


def _facts(yard: Yard, day: date) -> BreakFacts:
    leg = yard.drawn.choice([None, yard.leg(), yard.leg(), yard.leg()])
    cause = yard.drawn.choice(Cause.values)
    if leg is None or leg.retired_on:
        return BreakFacts(found_on=day, cause=cause)
    feet = yard.drawn.choice([None, leg.length_ft / 3])
    start = None if feet is None else yard.drawn.choice([leg.from_point, leg.to_point])
    return BreakFacts(leg=leg, feet_along=feet, from_point=start, found_on=day, cause=cause)


def _break(yard: Yard) -> None:
    fault: Fault = yard.one(Fault, property=yard.place)
    facts = _facts(yard, fault.reported_on)
    record_break(fault=fault, facts=facts, by=yard.by, at=make.NOW, today=LATE)


def _correct_break(yard: Yard) -> None:
    one: Break = yard.one(Break, fault__property=yard.place)
    correct_break(one=one, facts=_facts(yard, one.fault.reported_on), why="x", today=LATE)


def _close(yard: Yard) -> None:
    row: FaultStation = yard.one(FaultStation, fault__property=yard.place)
    to = yard.drawn.choice([Stage.WITHDRAWN, Stage.GIVEN_UP])
    how = {"by": yard.by, "at": make.NOW, "today": LATE, "why": "x"}
    move_stations(fault=row.fault, stations=[row], to=to, on=LATE, **how)


def _split(yard: Yard) -> None:
    leg = yard.leg()
    point = make.point(property=yard.place)
    how = {"from_second": False, "on": yard.day(), "today": LATE}
    split_leg(leg=leg, point=point, feet=leg.length_ft / 4, **how)


def _renew(yard: Yard) -> None:
    renew_leg(leg=yard.leg(), kind="new conduit", on=yard.day(), today=LATE)


def _take_back(yard: Yard) -> None:
    take_back_renewal(renewal=yard.one(Renewal, leg__property=yard.place), why="x")


def _change_leg(yard: Yard) -> None:
    change_leg(leg=yard.leg(), values={"cover": yard.drawn.choice(["turf", "bed", ""])})


def _change_wire(yard: Yard) -> None:
    wire = yard.one(Wire, property=yard.place)
    legs = {yard.leg() for _ in range(2)}
    change_wire(wire=wire, values={}, legs=sorted(legs, key=lambda leg: leg.pk))


def _fit(yard: Yard) -> None:
    station = yard.one(Station, controller__property=yard.place)
    facts = timer(yard.day(), accepted_by_client_on=SINCE)
    stopgaps.fit_stopgap(stations=[station], facts=facts, today=LATE)


def _end(yard: Yard) -> None:
    rows = {"station__controller__property": yard.place, "removed_on": None}
    one: Stopgap = yard.one(Stopgap, **rows)
    on = one.counted_from + timedelta(days=yard.drawn.randrange(200))
    stopgaps.end_stopgaps(stopgaps=[one], on=on, why="x", today=LATE)


def _link(yard: Yard) -> None:
    clock = yard.one(Controller, property=yard.place)
    state = yard.drawn.choice(STATES)
    central.change_link(controller=clock, state=state, on=yard.day(), today=LATE)


def _retire(yard: Yard) -> None:
    station = yard.one(Station, controller__property=yard.place)
    if station.retired_on:
        retire.bring_station_back(station=station, why="x")
    else:
        retire.retire_station(station=station, on=yard.day(), why="x", today=LATE)


STEPS: dict[str, Callable[[Yard], None]] = {
    "report": _report,
    "record a break": _break,
    "correct a break": _correct_break,
    "close": _close,
    "split": _split,
    "rejoin": lambda yard: rejoin_leg(leg=yard.leg()) and None,
    "renew": _renew,
    "take back a renewal": _take_back,
    "change a leg": _change_leg,
    "retire a leg": lambda yard: retire_leg(leg=yard.leg(), on=yard.day(), today=LATE) and None,
    "change a wire": _change_wire,
    "retire a wire": lambda yard: _retire_wire(yard),
    "fit": _fit,
    "end": _end,
    "link": _link,
    "retire": _retire,
}


def _retire_wire(yard: Yard) -> None:
    retire_wire(wire=yard.one(Wire, property=yard.place), on=yard.day(), today=LATE)
