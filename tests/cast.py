"""The cast: one user for each role, one outsider, one stranger, and the two clients' things.

Everything of the other client carries a canary word. It must never reach anyone whose grants
end at our client.
"""

from dataclasses import dataclass, fields
from datetime import date

from faults.models import Assignment, Fault
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import Contact, Controller, Property, Station, User
from tests import make

OURS = "marigold"
THEIRS = "wombat"


@dataclass(frozen=True)
class Cast:
    """Users by what they do. `outsider` is the other client's user; `stranger` has no grant."""

    owner: User
    water_manager: User
    dispatcher: User
    technician: User
    tracer: User
    client_user: User
    outsider: User
    stranger: User

    def everybody(self) -> dict[str, User]:
        """Return all users by name."""
        return {field.name: getattr(self, field.name) for field in fields(self)}


@dataclass(frozen=True)
class Corner:
    """A tiny register of one client: every text of it holds the client's canary word."""

    property: Property
    controller: Controller
    off_central: Station
    on_central: Station
    fault: Fault


@as_one_change()
def make_cast(ours: Corner, theirs: Corner) -> Cast:
    """Make the users: our own people see everything, the rest only their corner.

    The tracer is assigned our fault: a tracer sees no other.
    """
    cast = Cast(
        owner=make.user(Role.OWNER, username="olive"),
        water_manager=make.user(Role.WATER_MANAGER, username="walter"),
        dispatcher=make.user(Role.DISPATCHER, username="dora"),
        technician=make.user(Role.TECHNICIAN, username="tessa"),
        tracer=make.user(Role.TRACER, username="trace", property=ours.property),
        client_user=make.user(Role.CLIENT, username="clara", client=ours.property.client),
        outsider=make.user(Role.CLIENT, username="otto", client=theirs.property.client),
        stranger=make.user(username="stan"),
    )
    Assignment.objects.create(fault=ours.fault, user=cast.tracer, from_on=date(2025, 5, 2))
    return cast


@as_one_change()
def make_corner(word: str) -> Corner:
    """Make one client, one property, two stations, of which one is off central, and a fault."""
    owner = make.client(name=f"{word} client", notes=f"{word} note")
    where = make.place(
        client=owner, code=f"{word}-park", address=f"{word} address", notes=f"{word} note"
    )
    Contact.objects.create(property=where, name=f"{word} contact", email=f"{word}@example.org")
    clock = make.controller(property=where, name=f"{word} clock", notes=f"{word} note")
    off = make.station(controller=clock, number=1, name=f"{word} lawn", notes=f"{word} note")
    on = make.station(controller=clock, number=2, name=f"{word} beds", notes=f"{word} note")
    timer = make.device(property=where, name=f"{word} timer")
    make.stopgap(station=off, on=date(2025, 2, 1), device=timer, notes=f"{word} note")
    fault = make.fault(off, key=f"{word}-fault", summary=f"{word} summary")
    make.reading(station=off, taken_by=f"{word} reader")
    return Corner(where, clock, off, on, fault)
