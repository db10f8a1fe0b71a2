"""Make one row each, with defaults that hold; name only what the test is about."""

from datetime import UTC, date, datetime
from io import BytesIO
from itertools import count
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from faults.cases.services.photos import add_fault_photo
from faults.models import Break, Fault, FaultPhoto, FaultStation, Reading, ReadingKind
from sites.kernel.engines.roles import Role
from sites.kernel.services.verbs import as_one_change
from sites.models import (
    Central,
    CentralState,
    Client,
    Controller,
    Device,
    Grant,
    Leg,
    Photo,
    Point,
    PointKind,
    Property,
    StandingAuthority,
    Station,
    Stopgap,
    StopgapKind,
    User,
    Wire,
    WireKind,
)
from sites.register.services.photos import PreparedPhoto, add_photo

NOW = datetime(2025, 6, 15, 17, 0, tzinfo=UTC)
TODAY = NOW.date()

_number = count(1)


def client(**given: Any) -> Client:
    """Make a client."""
    return Client.objects.create(**{"name": f"Client {next(_number)}", **given})


def place(**given: Any) -> Property:
    """Make a property, with a client of its own unless one is given."""
    owner = given.pop("client", None) or client()
    defaults = {"code": f"PLACE-{next(_number)}", "client": owner, "address": "1 Long Walk"}
    return Property.objects.create(**{**defaults, **given})


def authority(**given: Any) -> StandingAuthority:
    """Make a standing authority of two hours."""
    where = given.pop("property", None) or place()
    defaults = {
        "property": where,
        "from_on": date(2025, 1, 1),
        "up_to_hours": 2,
        "given_by": "the board",
    }
    return StandingAuthority.objects.create(**{**defaults, **given})


def controller(**given: Any) -> Controller:
    """Make a controller that central reaches, on a property of its own unless one is given."""
    where = given.pop("property", None) or place()
    defaults = {"property": where, "name": f"Clock {next(_number)}", "central": Central.LINKED}
    return Controller.objects.create(**{**defaults, **given})


def central_state(**given: Any) -> CentralState:
    """Make one state of a controller over days."""
    clock = given.pop("controller", None) or controller()
    defaults = {"controller": clock, "state": Central.LINK_LOST, "from_on": date(2025, 1, 1)}
    return CentralState.objects.create(**{**defaults, **given})


def station(**given: Any) -> Station:
    """Make a valve station, on a controller of its own unless one is given."""
    clock = given.pop("controller", None) or controller()
    defaults = {"controller": clock, "number": next(_number), "run_length_ft": 400.0}
    return Station.objects.create(**{**defaults, **given})


def stopgap(*, on: date | None = None, **given: Any) -> Stopgap:
    """Make a battery timer that was fitted `on` a known day and is still there."""
    where = given.pop("station", None) or station()
    fitted = on or date(2025, 1, 1)
    defaults = {
        "station": where,
        "kind": StopgapKind.BATTERY_TIMER,
        "fitted_earliest": fitted,
        "fitted_latest": fitted,
        "reason": "wire",
    }
    return Stopgap.objects.create(**{**defaults, **given})


def device(**given: Any) -> Device:
    """Make a battery timer."""
    where = given.pop("property", None) or place()
    return Device.objects.create(**{"property": where, "name": f"Timer {next(_number)}", **given})


def point(**given: Any) -> Point:
    """Make a splice box."""
    where = given.pop("property", None) or place()
    defaults = {"property": where, "name": f"Box {next(_number)}", "kind": PointKind.SPLICE_BOX}
    return Point.objects.create(**{**defaults, **given})


def prepared_photo(**given: Any) -> PreparedPhoto:
    """Make a picture of four pixels, ready to be kept."""
    content = BytesIO()
    Image.new("RGB", (2, 2), "white").save(content, "JPEG")
    return PreparedPhoto(content.getvalue(), 2, 2, **given)


def picture_file() -> SimpleUploadedFile:
    """Make the file that a phone sends, four pixels large."""
    return SimpleUploadedFile("camera.jpg", prepared_photo().content, "image/jpeg")


def photo(**given: Any) -> Photo:
    """Make a photo of four pixels, of a new point unless one or a device is given."""
    shown = given.pop("device", None) or given.pop("point", None) or point()
    prepared = prepared_photo(**given.pop("prepared", {}))
    details = {"caption": "", "by": None, "at": NOW, **given}
    return add_photo(owner=shown, photo=prepared, **details)


def leg(**given: Any) -> Leg:
    """Make a leg between two new points of one property."""
    where = given.pop("property", None) or place()
    start = given.pop("from_point", None) or point(property=where)
    end = given.pop("to_point", None) or point(property=where)
    defaults = {"property": where, "from_point": start, "to_point": end, "length_ft": 120.0}
    return Leg.objects.create(**{**defaults, **given})


def wire(**given: Any) -> Wire:
    """Make a hot wire."""
    where = given.pop("property", None) or place()
    defaults = {"property": where, "name": f"W{next(_number)}", "kind": WireKind.HOT}
    return Wire.objects.create(**{**defaults, **given})


def fault(*stations: Station, **given: Any) -> Fault:
    """Make a reported fault on these stations, or on a new one."""
    stopped = stations or (station(),)
    defaults = {"property": stopped[0].controller.property, "reported_on": date(2025, 5, 1)}
    with as_one_change():
        made = Fault.objects.create(**{**defaults, **given})
        for each in stopped:
            FaultStation.objects.create(fault=made, station=each, stage=made.stage)
    return made


def break_found(**given: Any) -> Break:
    """Make a break that was found and not mended, of a new fault unless one is given."""
    case = given.pop("fault", None) or fault()
    wires = given.pop("wires", ())
    defaults = {"fault": case, "found_on": date(2025, 5, 3), "cause": "shovel"}
    made = Break.objects.create(**{**defaults, **given})
    made.wires.set(wires)
    return made


def fault_photo(**given: Any) -> FaultPhoto:
    """Make a photo of four pixels, of a new fault unless one is given."""
    prepared = prepared_photo(**given.pop("prepared", {}))
    case = given.pop("fault", None) or fault()
    details = {"by": None, "at": NOW, **given}
    return add_fault_photo(fault=case, photo=prepared, **details)


def reading(**given: Any) -> Reading:
    """Make a reading of a sound wire."""
    where = given.pop("station", None) or station()
    defaults = {"station": where, "taken_on": TODAY, "kind": ReadingKind.OHMS, "value": 24.0}
    return Reading.objects.create(**{**defaults, **given})


def user(role: Role | None = None, **given: Any) -> User:
    """Make a user; with a role, give it on everything or on the `client` or `property` given."""
    limits = {name: given.pop(name) for name in ("client", "property") if name in given}
    made: User = User.objects.create_user(**{"username": f"user-{next(_number)}", **given})
    if role is not None:
        Grant.objects.create(user=made, role=role.value, **limits)
    return made
