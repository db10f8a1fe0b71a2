"""A past day as tests ask for it: its address, its list, its files, stations off over days."""

import csv
import io
from datetime import date
from typing import Any

from sites.models import Station, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.web.pages import Sheet, signed_in


def at(day: date | str, **more: str) -> str:
    """Return the address of the first page on a day."""
    return f"/?day={day}" + "".join(f"&{name}={value}" for name, value in more.items())


def listed(sheet: Sheet) -> list[str]:
    """Return the stations of the list; none where there is no list."""
    return sheet.column(0, "list-title") if "list-title" in sheet.panels else []


def body(user: User, url: str) -> bytes:
    """Return a whole file."""
    answer: Any = signed_in(user).get(url)
    assert answer.headers["Content-Disposition"].startswith("attachment"), url
    return b"".join(answer.streaming_content)


def file_of(user: User, url: str) -> list[list[str]]:
    """Return the rows of a .csv, headings first."""
    return list(csv.reader(io.StringIO(body(user, url).decode("utf-8-sig"))))


def off_over(*days: tuple[date, date | None], station: Station | None = None) -> Station:
    """Make a station that was off over these days."""
    station = station or make.station()
    for first, end in days:
        make.stopgap(station=station, on=first, removed_on=end)
    rebuild_spells([station.pk])
    return station
