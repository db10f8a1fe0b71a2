"""Off central on a day, counted straight from the demo's sheets.

It shares nothing with the product: comma-separated values, days, and the rule as people say it.
"""

import csv
from calendar import monthrange
from collections import Counter
from datetime import date
from pathlib import Path

DEMO = Path(__file__).resolve().parent.parent.parent / "fixtures" / "demo"
SHEETS = sorted(str(path) for path in DEMO.glob("*.csv"))

Row = dict[str, str]
Named = tuple[str, str, str]

# In order of precedence, with the words that the sheets have for each.
WORDS = {
    "wire": {"wire", "wire cut"},
    "valve or solenoid": {"valve", "solenoid"},
    "controller": {"controller"},
    "link lost": {"link lost"},
    "client's choice": {"client's choice"},
    "not known": {"not known", ""},
}
OFF = {"battery timer", "by hand", "shut off", "held open"}


def sheet(name: str) -> list[Row]:
    """Return the rows of one sheet."""
    with (DEMO / f"{name}.csv").open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def last_day(cell: str) -> date | None:
    """Return the last day that "2021", "2021-06" or "2021-06-30" can mean."""
    if not cell:
        return None
    year, month, day = ([int(part) for part in cell.split("-")] + [0, 0])[:3]
    month = month or 12
    return date(year, month, day or monthrange(year, month)[1])


def first_day_off(stopgap: Row) -> date:
    """Return the day from which a stopgap counts."""
    return min(day for day in map(last_day, (stopgap["fitted"], stopgap["first seen"])) if day)


def name_of(row: Row) -> Named:
    """Return how people name a station."""
    return row["property code"], row["controller"], row["station number"]


def reason_of(cell: str) -> str:
    """Return the reason that a word in the sheet stands for."""
    return next(reason for reason, words in WORDS.items() if cell in words)


class PlainCount:
    """The sheets, read once."""

    def __init__(self) -> None:
        controllers = sheet("controllers")
        outside = {
            clock_of(row) for row in controllers if row["central"] == "not meant to be linked"
        }
        lost = {clock_of(row): row["since"] for row in controllers if row["central"] == "link lost"}
        self.stations = [
            name_of(row) for row in sheet("stations") if name_of(row)[:2] not in outside
        ]
        known = set(self.stations)
        self.claims = [
            (name_of(row), first_day_off(row), last_day(row["removed"]), reason_of(row["reason"]))
            for row in sheet("stopgaps")
            if row["kind"] in OFF and name_of(row) in known
        ]
        self.claims += [
            (station, date.fromisoformat(lost[station[:2]]), None, "link lost")
            for station in self.stations
            if station[:2] in lost
        ]

    def off_on(self, day: date) -> dict[Named, str]:
        """Return each station that was off on a day, with its one reason."""
        found: dict[Named, list[str]] = {}
        for station, start, end, reason in self.claims:
            if start <= day and (end is None or day < end):
                found.setdefault(station, []).append(reason)
        order = list(WORDS)
        return {station: min(reasons, key=order.index) for station, reasons in found.items()}

    def by_reason(self, day: date) -> dict[str, int]:
        """Return how many stations each reason held off on a day."""
        return dict(Counter(self.off_on(day).values()))


def clock_of(row: Row) -> tuple[str, str]:
    """Return how people name a controller."""
    return row["property code"], row["controller"]
