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
from tests.services.load import check, load, sheet

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


def columns(text: str) -> dict[str, str]:
    """Which field each heading was taken for."""
    (only,) = check(sheet("list", text)).sheets
    return {each.heading: each.field for each in only.columns}


def remarks(text: str, name: str = "list") -> list[str]:
    (only,) = check(sheet(name, text)).sheets
    return only.remarks


def test_what_stands_below_a_heading_decides() -> None:
    numbers = "Site,Timer #,Zone\nElm,1,1\nElm,2,1\n"
    assert columns(numbers)["Timer #"] == "controller"
    days = "Site,Clock,Zone,Timer\nElm,A,1,2023\nElm,A,2,\n"
    assert columns(days)["Timer"] == "stopgap since"
    # One day that can be read is enough; with none it is no column of days.
    assert (
        columns("Site,Clock,Zone,Timer\nElm,A,1,soon\nElm,A,2,2023\n")["Timer"] == "stopgap since"
    )
    assert columns("Site,Clock,Zone,Timer\nElm,A,1,soon\n")["Timer"] == ""
    both = "Site,Timer,Zone,Battery timer\nElm,3,1,2023\n"
    assert columns(both) == {
        "Site": "property",
        "Timer": "controller",
        "Zone": "station number",
        "Battery timer": "stopgap since",
    }


def test_a_heading_of_several_meanings_gives_way_to_one_of_a_single_meaning() -> None:
    found = columns("Location,Site,Clock,Zone\nEntry,Elm,A,1\n")
    assert (found["Location"], found["Site"]) == ("station name", "property")
    assert columns("Location,Clock,Zone\nElm,A,1\n")["Location"] == "property"
    named = columns("Site,Clock,Valve,No.\nElm,A,Front lawn,1\n")
    assert (named["Valve"], named["No."]) == ("station name", "station number")


def test_a_required_column_is_named_cell_by_cell_though_nothing_in_it_can_be_read() -> None:
    (only,) = check(sheet("list", "Site,Clock,Station\nElm,A,one\n")).sheets
    assert [(each.column, each.value) for each in only.problems] == [("C Station", "one")]


def test_marks_for_not_known_are_empty_cells_with_one_note() -> None:
    text = "Site,Clock,Zone,Flow,Wire size,Name\nElm,A,1,?,n/a,tbd\nElm,A,2,tbd,14,?\nElm,A,3,?,,\n"
    load(sheet("list", text))
    assert not StationFacts.objects.filter(flow_gpm__isnull=False).exists()
    # In a column of words they may be words.
    assert list(Station.objects.order_by("number").values_list("name", flat=True)) == [
        "tbd",
        "?",
        "",
    ]
    notes = [each for each in remarks(text) if "not known" in each]
    assert len(notes) == 3
    assert "Column D Flow: '?' counts as not known." in notes


def test_since_nobody_knows_when_is_a_timer_and_not_applicable_is_none() -> None:
    text = "Site,Clock,Zone,Timer since\nElm,A,1,?\nElm,A,2,n/a\nElm,A,3,n/d\nElm,A,4,2023\n"
    load(sheet("list", text))
    assert sorted(Stopgap.objects.values_list("station__number", flat=True)) == [1, 3, 4]
    assert "Row 2: '?' was read as: on a timer, nobody knows since when." in remarks(text)


def test_rows_of_totals_are_left_out_and_said() -> None:
    text = "Site,Clock,Zone,Flow\nElm,A,1,5\nSubtotal,,1,5\nTotal,,,5\nTotal Court,A,2,6\n"
    said = remarks(text)
    assert [each for each in said if "total" in each] == [
        "Row 3 looks like a total ('Subtotal') and was left out.",
        "Row 4 looks like a total ('Total') and was left out.",
    ]
    load(sheet("list", text))
    assert sorted(Station.objects.values_list("controller__property__code", flat=True)) == [
        "Elm",
        "Total Court",
    ]


def test_a_column_left_behind_is_said_with_what_is_in_it() -> None:
    said = remarks("Site,Clock,Zone,Foo,Bar\nElm,A,1,x,\nElm,A,2,y,\n")
    assert (
        "Column D 'Foo' was not used: 2 cells are left behind (such as 'x', 'y'). If they matter, "
        "say which column it is." in said
    )
    assert "Column E 'Bar' is empty and was not used." in said


def test_days_read_like_another_row_say_which() -> None:
    said = remarks("Site,Clock,Zone,Timer since\nElm,A,1,9/25/2022\nElm,A,2,04/07/2024\n")
    assert "Days such as 04/07/2024 were read month first, because row 2 says 9/25/2022." in said
    assert not any(
        "were read" in each for each in remarks("Site,Clock,Zone,Timer since\nElm,A,1,9/25/2022\n")
    )


def test_a_list_of_bare_stations_makes_what_it_implies_unless_its_name_says_otherwise() -> None:
    text = "Property,Controller,Station\nElm,A,1\n"
    assert check(sheet("list", text)).sheets[0].kind == "flat list"
    assert check(sheet("stations", text)).sheets[0].kind == "stations"
