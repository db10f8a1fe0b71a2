"""The demo's folder of central's lists: one taken in, with two differences, and one laid aside.

The demo watches no folder: the rows are as the round would leave them.
"""

from datetime import date, datetime, timedelta

from sites.load.services.files import RegisterFile
from sites.models import CentralFile, CentralFolder, StandingDifference, Station, Stopgap, User
from sites.reconcile.services.lists import take_list

HEADING = "property code,controller,station number,enabled"


def make_demo_central(*, by: User, at: datetime, today: date) -> None:
    """Take in a list of the first controller: one more is disabled there, and one is not ours."""
    first = Station.objects.in_care().order_by("pk")[0]
    clock = first.controller
    stations = list(Station.objects.in_care().filter(controller=clock).order_by("number", "pk"))
    standing = Stopgap.objects.off_central().open().filter(station__in=stations)
    off = set(standing.order_by().values_list("station", flat=True))
    on = [station for station in stations if station.pk not in off]
    rows = [
        (station.number, "no" if station.pk in off or station == on[0] else "yes")
        for station in stations
    ]
    rows.append((stations[-1].number + 40, "yes"))
    text = "\n".join(
        [HEADING, *(f"{clock.property.code},{clock.name},{n},{word}" for n, word in rows)]
    )
    read_at = at - timedelta(minutes=9)
    file = RegisterFile("stations-of-central.csv", text.encode())
    central = take_list(files=[file], place=None, by=by, at=read_at, today=today)
    new = StandingDifference.objects.filter(list=central).count()
    counts = {"listed": len(rows), "open": new, "new": new, "gone": 0, "foreign": 0}
    CentralFile.objects.create(
        name=file.filename, sha256="1" * 64, changed_ns=1, size=len(text), at=read_at,
        list=central, counts=counts,
    )  # fmt: skip
    CentralFile.objects.create(
        name="alarms.csv", sha256="2" * 64, changed_ns=2, size=120, at=read_at - timedelta(days=1),
        problem="No list was recognised. It needs a column 'controller' and one 'station number'; "
        "'enabled' and 'property code' where it has them.",
    )  # fmt: skip
    CentralFolder.objects.create(looked_at=read_at)
