"""A climate table of days, computed from raw weather: temperatures, humidity, sun and wind.

A day with all of them goes through the full equation; one with temperatures alone gets an
estimate, and is marked. A day without even these stays missing: nothing is filled in. A line that
cannot be read, or cannot be, is left out and named; the others are kept.
"""

import csv
import io
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import ClimateRow, Property
from sites.water.engines.reference_et import (
    MM_PER_IN,
    ImpossibleWeather,
    Place,
    Weather,
    eto_from_temperatures_mm,
    eto_mm,
    saturation_kpa,
    vapour_from_humidity_kpa,
)

MOST_DAYS = 1500
# More than ever fell in a day (from memory, no source).
MOST_RAIN_MM = 2000.0
# What each column may be called; all metric, as weather stations write them.
HEADINGS = {
    "date": ("date", "day", "fecha"),
    "tmin": ("tmin", "min temp", "t min", "temperature min"),
    "tmax": ("tmax", "max temp", "t max", "temperature max"),
    "rhmax": ("rhmax", "rh max", "humidity max"),
    "rhmin": ("rhmin", "rh min", "humidity min"),
    "dew": ("tdew", "dew point", "dew", "dewpoint"),
    "sun": ("rs", "sun", "solar", "solar radiation", "radiation"),
    "wind": ("wind", "wind speed", "u2", "uz"),
    "rain": ("rain", "precipitation", "precip", "lluvia"),
}
Values = Mapping[str, float | None]


class UnableToUseWeather(UnableToAct):
    """A file that is no weather."""


class _LeftOut(ValueError):
    """A line that cannot be used; its message says why."""


@dataclass(frozen=True)
class WorkedOut:
    """How many days were computed in full, by temperatures alone, and not at all.

    `left_out` says in words which lines could not be used, and why.
    """

    full: int
    estimated: int
    missing: int
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class Day:
    """One line: its number in the file, its day, and its values."""

    line: int
    on: date
    values: Values


@verb(
    name="work out a climate table from weather",
    action=Action.EDIT_REGISTER,
    guard="a name that is no property's code; its source; days with weather that can be; a place "
    "on the globe",
    undo="work it out again from the right file: the history shows the old values",
)
def work_out_weather(*, name: str, source: str, content: bytes, place: Place) -> WorkedOut:
    """Enter the days of a file under a shared name, in the place of those that are there."""
    table = name.strip()
    if Property.objects.filter(code__iexact=table).exists():
        raise UnableToUseWeather(
            _("This is a property's code. Give the table a name of its own."), field="name"
        )
    known = {
        (row.year, row.month, row.day): row
        for row in ClimateRow.objects.filter(table=table, property=None, day__isnull=False)
    }
    counts = {"full": 0, "estimated": 0, "missing": 0}
    days, left_out = read_weather(content)
    for day in days:
        try:
            how, depth_mm = _depth(day, place)
            rain = _rain(day)
        except _LeftOut as why:
            left_out.append(_line_words(day.line, str(why)))
            continue
        counts[how] += 1
        if depth_mm is None:
            continue
        key = day.on.year, day.on.month, day.on.day
        row = known.get(key) or ClimateRow(table=table, year=key[0], month=key[1], day=key[2])
        row.eto_in = depth_mm / MM_PER_IN
        row.rain_in = None if rain is None else rain / MM_PER_IN
        row.is_estimated = how == "estimated"
        words = _("%s; estimated from temperatures alone") if row.is_estimated else "%s"
        row.source = words % source.strip()
        row.save()
    if not any(counts.values()):
        raise UnableToUseWeather(
            _("No line could be used. %s") % " ".join(left_out[:3]), field="file"
        )
    return WorkedOut(**counts, left_out=tuple(left_out))


def _rain(day: Day) -> float | None:
    rain = day.values.get("rain")
    if rain is not None and not 0 <= rain <= MOST_RAIN_MM:
        raise _LeftOut(_("This rain cannot be, in mm."))
    return rain


def _line_words(line: int, words: str) -> str:
    return _("Line %(line)s: %(words)s") % {"line": line, "words": words}


def read_weather(content: bytes) -> tuple[list[Day], list[str]]:
    """Return the days of a .csv file, and in words the lines that cannot be read.

    Raises:
        UnableToUseWeather: no text, no day or temperature column, a day twice, or too many days.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnableToUseWeather(
            _("This file is no text. Save it as CSV, then choose it again."), field="file"
        ) from None
    rows = csv.reader(io.StringIO(text))
    columns = _columns(next(rows, []))
    days, left_out = _days(rows, columns)
    if not days and not left_out:
        raise UnableToUseWeather(_("This file holds no day."), field="file")
    if len(days) > MOST_DAYS:
        raise UnableToUseWeather(
            _("This file holds more than %s days. Split it by years.") % MOST_DAYS, field="file"
        )
    seen: set[date] = set()
    for day in days:
        if day.on in seen:
            words = _("%s is in the file twice.") % day.on.isoformat()
            words = _("%s Nothing was kept.") % _line_words(day.line, words)
            raise UnableToUseWeather(words, field="file")
        seen.add(day.on)
    return days, left_out


def _columns(headings: list[str]) -> dict[str, int]:
    plain = [" ".join(each.casefold().replace("_", " ").split()) for each in headings]
    found = {
        name: plain.index(word)
        for name, words in HEADINGS.items()
        for word in words
        if word in plain
    }
    if not {"date", "tmin", "tmax"} <= set(found):
        raise UnableToUseWeather(
            _("The first line must name at least date, tmin and tmax."), field="file"
        )
    return found


def _days(rows: Iterator[list[str]], columns: Mapping[str, int]) -> tuple[list[Day], list[str]]:
    days, left_out = [], []
    for line, row in enumerate(rows, start=2):
        cells = {name: row[n].strip() if n < len(row) else "" for name, n in columns.items()}
        if not any(cells.values()):
            continue
        try:
            days.append(_day(line, cells))
        except _LeftOut as why:
            left_out.append(_line_words(line, str(why)))
    return days, left_out


def _day(line: int, cells: dict[str, str]) -> Day:
    try:
        on = date.fromisoformat(cells.pop("date"))
    except ValueError:
        raise _LeftOut(_("Write the day as 2026-03-14.")) from None
    return Day(line, on, {name: _number(cell) for name, cell in cells.items()})


def _number(cell: str) -> float | None:
    if not cell:
        return None
    try:
        found = float(cell)
    except ValueError:
        found = math.nan
    if not math.isfinite(found):
        raise _LeftOut(_("%s is no number.") % cell[:40])
    return found


def _depth(day: Day, place: Place) -> tuple[str, float | None]:
    values, ordinal = day.values, day.on.timetuple().tm_yday
    low, high = values.get("tmin"), values.get("tmax")
    if low is None or high is None:
        return "missing", None
    try:
        vapour = _vapour(low, high, values)
        sun, wind = values.get("sun"), values.get("wind")
        if vapour is None or sun is None or wind is None:
            return "estimated", eto_from_temperatures_mm(low, high, place.latitude, ordinal)
        return "full", max(0.0, eto_mm(Weather(low, high, vapour, sun, wind), place, ordinal))
    except ImpossibleWeather as problem:
        raise _LeftOut(_IMPOSSIBLE[problem.what]()) from None


def _vapour(low: float, high: float, values: Values) -> float | None:
    dew, most, least = values.get("dew"), values.get("rhmax"), values.get("rhmin")
    if dew is not None:
        return saturation_kpa(dew)
    if most is None or least is None:
        return None
    return vapour_from_humidity_kpa(low, high, most, least)


_IMPOSSIBLE = {
    "temperatures": lambda: _("These temperatures cannot be, in °C: the lowest comes first."),
    "humidity": lambda: _("This humidity or dew point cannot be."),
    "sun": lambda: _("This sun cannot be, in MJ/m² a day."),
    "wind": lambda: _("This wind cannot be, in m/s."),
}
