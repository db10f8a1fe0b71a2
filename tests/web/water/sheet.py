"""Open, fill in and read the sheet of missing facts."""

from datetime import date
from typing import Any

from sites.models import Property, Station
from tests import make
from tests.cast import Cast
from tests.web.pages import Sheet, signed_in

SINCE = date(2025, 3, 1)


def off(park: Property, number: int = 1, **given: Any) -> Station:
    """Make a station on a timer of which nothing is known but what is given."""
    clock = park.controllers.first() or make.controller(property=park, name="A")
    station = make.station(controller=clock, number=number, run_length_ft=None, **given)
    make.stopgap(station=station, on=SINCE, device=make.device(property=park))
    return station


def url(park: Property) -> str:
    """Return the address of its sheet."""
    return f"/properties/{park.ref}/missing/"


def keep(cast: Cast, park: Property, *stations: Station, **cells: Any) -> Sheet:
    """Send a sheet of these stations; cells are named "column_n" by the number of the station."""
    named = {str(each.number): each.ref for each in stations}
    sent = {"refs": " ".join(named.values())}
    for name, text in cells.items():
        column, _under, number = name.rpartition("_")
        sent[f"{column}-{named[number]}"] = text
    return Sheet(signed_in(cast.owner).post(url(park), sent, follow=True))


def wrong(sheet: Sheet) -> dict[str, str]:
    """Return what is said at each cell, by its column."""
    spans = [each for each in sheet.tree.find("span") if each.classes == ["error"] and each.words]
    return {each.attributes["id"].partition("-")[0]: each.words for each in spans}
