"""Climate tables: entered, corrected, and chosen for a property."""

from datetime import date

import pytest

from sites.models import ClimateRow, Meter
from sites.water.services.tables import (
    MonthDepths,
    UnableToKeepClimate,
    add_climate_table,
    change_climate_table,
    choose_climate_table,
)
from tests import make, make_water
from tests.engines.water.cases import VACAVILLE

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]

MONTHS = {number: MonthDepths(eto, 0.0) for number, eto in enumerate(VACAVILLE, start=1)}


def test_a_table_that_is_entered_and_chosen_makes_the_need_known() -> None:
    station = make_water.lawn(make.place(), removed_on=date(2025, 11, 11))
    place = station.controller.property
    assert Meter.objects.get(spell__station=station).lacks == "climate"
    add_climate_table(name=" Valley ", source="an ordinance", months=MONTHS)
    choose_climate_table(place=place, name="Valley")
    assert Meter.objects.get(spell__station=station).excess_gal > 0
    change_climate_table(
        name="Valley", source="an ordinance", months={**MONTHS, 8: MonthDepths(None)}
    )
    assert ClimateRow.objects.count() == 11
    assert "climate" in Meter.objects.get(spell__station=station).lacks


def test_a_property_may_have_months_of_its_own() -> None:
    place = make.place()
    add_climate_table(name="", source="a gauge on site", months=MONTHS, place=place)
    assert set(place.climate.values_list("table", flat=True)) == {place.code}
    with pytest.raises(UnableToKeepClimate, match="of that name"):
        add_climate_table(name="", source="again", months=MONTHS, place=place)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": " "}, "name"),
        ({"source": " "}, "source"),
        ({"months": {1: MonthDepths(None)}}, None),
        ({"months": {1: MonthDepths(52.3)}}, "eto_1"),
        ({"months": {1: MonthDepths(-1)}}, "eto_1"),
        ({"months": {1: MonthDepths(1, 100)}}, "rain_1"),
        ({"months": {1: MonthDepths(1), 2: MonthDepths(None, 1)}}, "eto_2"),
        ({"name": "valley"}, "name"),
        ({"name": "Fern Park"}, "name"),
    ],
)
def test_refuses_what_is_no_table(given: dict[str, object], field: str | None) -> None:
    make.place(code="Fern Park")
    make_water.climate("Valley")
    details = {"name": "Hills", "source": "an ordinance", "months": MONTHS, **given}
    with pytest.raises(UnableToKeepClimate) as refused:
        add_climate_table(**details)  # type: ignore[arg-type]
    assert refused.value.field == field
    assert ClimateRow.objects.count() == 12


def test_refuses_a_table_that_nobody_knows_and_the_one_that_holds() -> None:
    place = make.place()
    with pytest.raises(UnableToKeepClimate, match="no such table"):
        choose_climate_table(place=place, name="Atlantis")
    with pytest.raises(UnableToKeepClimate, match="already"):
        choose_climate_table(place=place, name="")


def test_what_nobody_touched_gets_no_history() -> None:
    make_water.climate("Valley")
    changed = {**MONTHS, 7: MonthDepths(8.0, 0.0)}
    change_climate_table(name="Valley", source=make_water.SOURCE, months=changed)
    rows = ClimateRow.objects.filter(table="Valley")
    assert {row.month: row.history.count() for row in rows}[7] == 2
    assert sum(row.history.count() for row in rows) == 13
