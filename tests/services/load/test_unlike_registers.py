"""Forty registers as offices keep them, made by code that shares nothing with the reader.

Each cell that a person could read is compared with what was loaded.
"""

import csv
import io
from dataclasses import dataclass, field
from random import Random
from typing import Any

import pytest
from django.db import transaction

from faults.load.services.register import UnableToLoad
from sites.models import Station, StationFacts, Stopgap
from tests.services.load import load, sheet

pytestmark = pytest.mark.django_db

SITES = ["Ash Court", "Birch Row", "Cedar Park"]
# As people write them, by language; chosen here and not read from the product.
HEADINGS = {
    "en": {
        "place": ["Property", "Site", "Property name", "HOA", "Site name", "Job", "Account"],
        "client": ["Client", "Customer", "Owner", "Management company"],
        "clock": ["Controller", "Clock", "Clock name", "Timer #", "Controller ID", "Satellite"],
        "number": ["Station", "Zone", "Valve #", "Stn", "Zone no.", "Sta #", "Zone #", "Valve"],
        "name": ["Description", "Location", "Zone name", "Waters", "Station name", "Area served"],
        "area": ["Area (sq ft)", "Sq. ft.", "Area, sf", "Square feet", "Area"],
        "flow": ["Flow (gpm)", "GPM", "Flow", "Design flow, gpm", "Flow rate"],
        "since": ["Timer since", "Battery since", "On timer since", "Battery timer installed",
                  "Off central since", "Off clock"],
        "cause": ["Cause", "Why", "Reason", "Damaged by", "Wire cut by"],
        "notes": ["Notes", "Comments", "Remarks"],
    },
    "es": {
        "place": ["Propiedad", "Sitio", "Inmueble", "Conjunto", "Nombre de la propiedad"],
        "client": ["Cliente"],
        "clock": ["Controlador", "Programador", "Reloj"],
        "number": ["Estación", "Zona", "Válvula", "Circuito", "No. de zona"],
        "name": ["Descripción", "Nombre", "Ubicación", "Nombre de la zona"],
        "area": ["Superficie (m2)", "Área (m²)", "m2"],
        "flow": ["Caudal (l/min)", "Gasto (lpm)", "l/min"],
        "since": ["Pila desde", "Temporizador desde", "Con pila desde", "Batería desde"],
        "cause": ["Causa", "Motivo", "Dañado por"],
        "notes": ["Notas", "Observaciones", "Comentarios"],
    },
}  # fmt: skip
SQFT_OF_M2, GPM_OF_LPM = 10.763910416709722, 0.26417205235814842
MONTHS = ["January", "March", "June", "October"]
MESES = ["enero", "marzo", "junio", "octubre"]
NUMBERS = [1, 3, 6, 10]
UNKNOWN = ["", "?", "n/a", "tbd", "n/d", "-", "unknown"]


@dataclass
class Made:
    """A file with the truth behind each cell."""

    content: str
    answers: dict[str, str]
    rows: list[dict[str, Any]] = field(default_factory=list)


def register(seed: int) -> Made:
    draw = Random(seed)
    language = draw.choice(["en", "en", "es"])
    columns = ["place", "clock", "number", "area", "flow", "since", "cause"]
    columns += [each for each in ("client", "name", "notes") if draw.random() < 0.6]
    draw.shuffle(columns)
    headings = {each: draw.choice(HEADINGS[language][each]) for each in columns}
    if headings["number"] in ("Valve", "Zone", "Station") and draw.random() < 0.5:
        headings["name"] = headings.get("name", "Description")
    metric = language == "es"
    clocks = draw.choice([["A", "B"], ["1", "2"], ["North", "South"]])
    day_first = draw.random() < 0.5
    # What a person answers where the file leaves it open.
    answers = {"day_order": "dmy" if day_first else "mdy", "decimal": "," if metric else "."}
    made = Made("", answers)
    lines: list[list[str]] = []
    if draw.random() < 0.4:
        lines += [["Irrigation list"], []]
    lines.append([headings[each] for each in columns])
    for site in SITES[: draw.randint(1, 3)]:
        for clock in clocks:
            for number in range(1, draw.randint(3, 6)):
                row = truth(draw, site, clock, number)
                made.rows.append(row)
                cells = written(draw, row, headings, language, metric, day_first)
                lines.append([cells[each] for each in columns])
        if draw.random() < 0.4:
            lines.append([])
    if draw.random() < 0.4:
        lines.append(["Total", *["99"] * (len(columns) - 1)])
    out = io.StringIO()
    csv.writer(out, delimiter=";" if metric else ",").writerows(lines)
    made.content = out.getvalue()
    return made


def truth(draw: Random, site: str, clock: str, number: int) -> dict[str, Any]:
    since = None
    if draw.random() < 0.4:
        month = draw.randrange(4)
        kind = draw.choice(["day", "month", "year", "yes"])
        since = (kind, draw.randint(2021, 2024), NUMBERS[month], draw.randint(13, 28), month)
    return {
        "place": site,
        "client": f"{site} owners",
        "clock": clock,
        "number": number,
        "name": draw.choice(["Front lawn", "Pool hedge", "Parking strip", "East beds"]),
        "area": draw.choice([None, draw.randint(200, 9000)]),
        "flow": draw.choice([None, draw.randint(4, 40) + draw.choice([0, 0.5])]),
        "since": since,
        "cause": draw.choice(["gopher", "shovel", "roots"]) if since else "",
        "notes": draw.choice(["", "check box"]),
    }


def written(
    draw: Random,
    row: dict[str, Any],
    headings: dict[str, str],
    language: str,
    metric: bool,
    day_first: bool,
) -> dict[str, str]:
    cells = {name: str(value) if value is not None else "" for name, value in row.items()}
    for name, unit in (("area", "sq ft"), ("flow", "gpm")):
        if row[name] is None:
            cells[name] = draw.choice(UNKNOWN[:6])
            if cells[name] == "-":
                cells[name] = ""
        elif not metric and headings[name] in ("Area", "Flow") and draw.random() < 0.5:
            cells[name] = f"{row[name]} {unit}"
        elif metric:
            cells[name] = cells[name].replace(".", ",")
    cells["since"] = written_day(draw, row["since"], language, day_first)
    if draw.random() < 0.2:
        cells["place"] = f" {row['place'].upper()} "
    return cells


def written_day(draw: Random, since: Any, language: str, day_first: bool) -> str:
    if since is None:
        return draw.choice(["", "", "no", "n/a"])
    kind, year, month, day, at = since
    if kind == "yes":
        return draw.choice(["yes", "x", "?", "unknown"]) if language == "en" else "sí"
    if kind == "year":
        return str(year)
    if kind == "month":
        return f"{MONTHS[at]} {year}" if language == "en" else f"{MESES[at]} {year}"
    both = f"{day}/{month}" if day_first else f"{month}/{day}"
    return draw.choice([f"{both}/{year}", f"{year}-{month:02}-{day:02}"])


@dataclass
class Score:
    right: int = 0
    wrong: list[str] = field(default_factory=list)

    def add(self, what: str, is_right: bool) -> None:
        if is_right:
            self.right += 1
        else:
            self.wrong.append(what)


def compared(seed: int, made: Made, score: Score) -> None:
    metric = made.answers["decimal"] == ","
    has = made.content.casefold()
    for row in made.rows:
        where = f"{seed}: {row['place']} {row['clock']}:{row['number']}"
        station = Station.objects.filter(
            controller__property__code__iexact=row["place"],
            controller__name=row["clock"],
            number=row["number"],
        ).first()
        score.add(where, station is not None)
        if station is None:
            continue
        facts = StationFacts.objects.filter(station=station).first() or StationFacts()
        area, flow = row["area"], row["flow"]
        told_area = area and area * (SQFT_OF_M2 if metric else 1)
        told_flow = flow and flow * (GPM_OF_LPM if metric else 1)
        score.add(f"{where} area {facts.area_sqft}", near(facts.area_sqft, told_area))
        score.add(f"{where} flow {facts.flow_gpm}", near(facts.flow_gpm, told_flow))
        if row["name"].casefold() in has:
            score.add(f"{where} name {station.name}", station.name in (row["name"], ""))
        stopgap = Stopgap.objects.filter(station=station).first()
        score.add(f"{where} timer {stopgap}", (stopgap is None) == (row["since"] is None))
        if stopgap is not None and row["since"] is not None:
            score.add(f"{where} since {stopgap.fitted_earliest}", as_said(stopgap, row["since"]))


def near(found: float | None, told: float | None) -> bool:
    if found is None or told is None:
        return found is None and told is None
    return abs(found - told) < 1e-6 * max(1.0, told)


def as_said(stopgap: Stopgap, since: Any) -> bool:
    kind, year, month, day, _at = since
    first = stopgap.fitted_earliest
    if kind == "yes":
        return first is None
    if first is None or first.year != year:
        return False
    if kind == "year":
        return first.month == 1
    if first.month != month:
        return False
    return first.day == (day if kind == "day" else 1)


def test_forty_unlike_registers_are_read_right() -> None:
    score = Score()
    for seed in range(40):
        made = register(seed)
        with transaction.atomic():
            try:
                load(sheet("list", made.content), **made.answers)
            except UnableToLoad as refusal:
                score.wrong.append(f"{seed}: {refusal}")
            else:
                compared(seed, made, score)
            transaction.set_rollback(True)
    cells = score.right + len(score.wrong)
    assert cells > 2000
    assert score.wrong == []
