"""What holds over days: changed from a day, was wrong, taken back."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from sites.kernel.services.dated import UnableToChangeFrom, UnableToTakeBack, lasting
from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.models import Schedule, Station, StationFacts, Tariff
from sites.register.services import equipment, facts, tariffs
from sites.register.services.equipment import UnableToReplaceEquipment
from sites.register.services.facts import UnableToEndSchedule
from sites.register.services.tariffs import UnableToPrice
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, day, history

pytestmark = pytest.mark.django_db

PRICES: dict[str, Any] = {
    "water_price": Decimal("4.2"),
    "price_unit": "kgal",
    "labour_rate": None,
    "standby_rate": None,
}
RUN: dict[str, Any] = {"run_by": "central", "days": "Mon Wed", "starts": "04:30", "minutes": 20.0}


def days_of(rows: Any) -> list[tuple[date | None, date | None]]:
    """Return the days of dated rows that last, oldest first."""
    return [(row.from_on, row.to_on) for row in lasting(rows)][::-1]


def watered(area: float = 900.0) -> Station:
    """Make a station whose area has held since ever."""
    return StationFacts.objects.create(station=make.station(), area_sqft=area).station


def test_changed_facts_end_the_old_ones_and_keep_them() -> None:
    station = watered()
    facts.change_facts(station=station, values={"area_sqft": 700.0}, on=DAY, today=TODAY)
    assert days_of(station.facts) == [(None, DAY), (DAY, None)]
    assert [row.area_sqft for row in lasting(station.facts)] == [700.0, 900.0]


def test_changed_facts_refuse_days_that_cannot_be_and_no_difference() -> None:
    station = watered()
    facts.change_facts(station=station, values={"area_sqft": 700.0}, on=day(5), today=TODAY)
    with pytest.raises(UnableToUseDay):
        facts.change_facts(station=station, values={}, on=date(2026, 1, 1), today=TODAY)
    with pytest.raises(UnableToChangeFrom, match="began on 2025-03-06"):
        facts.change_facts(station=station, values={"area_sqft": 1.0}, on=day(5), today=TODAY)
    with pytest.raises(UnableToChangeFrom, match="Nothing is different"):
        facts.change_facts(station=station, values={"area_sqft": 700.0}, on=day(6), today=TODAY)


def test_the_first_facts_of_a_station_begin_on_their_day() -> None:
    station = make.station()
    facts.change_facts(station=station, values={"area_sqft": 700.0}, on=DAY, today=TODAY)
    assert days_of(station.facts) == [(DAY, None)]


def test_taking_back_lets_the_facts_before_hold_again() -> None:
    station = watered()
    facts.change_facts(station=station, values={"area_sqft": 700.0}, on=DAY, today=TODAY)
    facts.take_back_facts(station=station, why="not done")
    assert days_of(station.facts) == [(None, None)]
    assert station.facts.count() == 2
    with pytest.raises(UnableToTakeBack):
        facts.take_back_facts(station=station, why="again")


def test_a_change_can_be_made_again_after_it_was_taken_back() -> None:
    station = watered()
    for area in (700.0, 650.0):
        facts.change_facts(station=station, values={"area_sqft": area}, on=DAY, today=TODAY)
        facts.take_back_facts(station=station, why="not done")
    assert days_of(station.facts) == [(None, None)]


def test_facts_that_were_wrong_are_put_right_for_all_their_days() -> None:
    row = watered().facts.get()
    facts.correct_facts(facts=row, values={"area_sqft": 800.0}, why="measured again")
    assert (row.from_on, row.to_on, row.area_sqft) == (None, None, 800.0)
    assert history(row)[-1] == ("~", "was wrong: measured again")
    facts.correct_facts(facts=row, values={"area_sqft": 900.0}, why="no, as before")
    assert row.area_sqft == 900.0


def test_putting_facts_right_needs_words_and_a_difference() -> None:
    row = watered().facts.get()
    with pytest.raises(UnableToCorrect):
        facts.correct_facts(facts=row, values={"area_sqft": 1.0}, why=" ")
    with pytest.raises(UnableToChangeFrom, match="Nothing is different"):
        facts.correct_facts(facts=row, values={"area_sqft": 900.0}, why="x")


def test_a_long_reason_is_cut_to_what_history_holds() -> None:
    row = watered().facts.get()
    facts.correct_facts(facts=row, values={"area_sqft": 1.0}, why="x" * 300)
    assert len(history(row)[-1][1]) == 100


def schedule(**given: Any) -> Schedule:
    """Make a schedule that has run since a day."""
    return Schedule.objects.create(**{"station": make.station(), "from_on": DAY, **RUN, **given})


def test_a_changed_schedule_ends_the_old_and_may_be_planned_ahead() -> None:
    old = schedule()
    values = {**RUN, "minutes": 30.0}
    new = facts.change_schedule(
        station=old.station, schedule=old, values=values, on=date(2026, 1, 1)
    )
    assert days_of(old.station.schedules) == [(DAY, date(2026, 1, 1)), (date(2026, 1, 1), None)]
    facts.take_back_schedule(schedule=new, why="stays as it is")
    assert days_of(old.station.schedules) == [(DAY, None)]


def test_a_schedule_may_run_beside_another() -> None:
    old = schedule()
    facts.change_schedule(station=old.station, schedule=None, values=RUN, on=DAY)
    assert days_of(old.station.schedules) == [(DAY, None), (DAY, None)]


def test_a_schedule_that_was_wrong_is_put_right() -> None:
    row = schedule()
    facts.correct_schedule(schedule=row, values={**RUN, "minutes": 25.0}, why="typo")
    assert (row.minutes, history(row)[-1][1]) == (25.0, "was wrong: typo")


def test_a_schedule_ends_and_goes_on_again() -> None:
    row = schedule()
    facts.end_schedule(schedule=row, on=day(9))
    assert row.to_on == day(9)
    with pytest.raises(UnableToEndSchedule, match="already"):
        facts.end_schedule(schedule=row, on=day(10))
    facts.go_on_with_schedule(schedule=row, why="it still runs")
    assert row.to_on is None
    with pytest.raises(UnableToEndSchedule, match="has not ended"):
        facts.go_on_with_schedule(schedule=row, why="x")


def test_a_schedule_refuses_to_end_before_it_began() -> None:
    with pytest.raises(UnableToChangeFrom):
        facts.end_schedule(schedule=schedule(), on=DAY)


def test_a_schedule_that_another_followed_does_not_go_on() -> None:
    old = schedule()
    facts.change_schedule(
        station=old.station, schedule=old, values={**RUN, "minutes": 3.0}, on=day(9)
    )
    with pytest.raises(UnableToEndSchedule, match="followed"):
        facts.go_on_with_schedule(schedule=old, why="x")
    with pytest.raises(UnableToEndSchedule, match="ended"):
        facts.take_back_schedule(schedule=old, why="x")


def test_a_tariff_changes_from_a_day_and_is_taken_back() -> None:
    place = Tariff.objects.create(property=make.place(), labour_rate=Decimal("50")).property
    tariffs.change_tariff(place=place, values=PRICES, on=DAY, today=TODAY)
    assert days_of(place.tariffs) == [(None, DAY), (DAY, None)]
    tariffs.take_back_tariff(place=place, why="next year")
    assert days_of(place.tariffs) == [(None, None)]


def test_a_tariff_that_was_wrong_is_put_right() -> None:
    row = Tariff.objects.create(property=make.place(), labour_rate=Decimal("50"))
    tariffs.correct_tariff(tariff=row, values=PRICES, why="typo")
    assert history(row)[-1] == ("~", "was wrong: typo")


def test_a_price_says_for_how_much_water() -> None:
    with pytest.raises(UnableToPrice) as refusal:
        tariffs.change_tariff(
            place=make.place(), values={**PRICES, "price_unit": ""}, on=DAY, today=TODAY
        )
    assert refusal.value.field == "price_unit"


BROUGHT: dict[str, Any] = {"output_volts": 26.0, "transformer_va": 60.0, "station_count": 24}
NEW: dict[str, Any] = {"label": "24-station unit", "serial": "S2", "notes": ""}


def test_replaced_equipment_leaves_the_controller_itself() -> None:
    clock = make.controller(output_volts=24.0)
    made = equipment.replace_equipment(
        controller=clock, values=NEW, brought=BROUGHT, on=DAY, today=TODAY
    )
    clock.refresh_from_db()
    assert (clock.output_volts, clock.station_count) == (26.0, 24)
    assert history(clock)[-1] == ("~", f"equipment {made.pk} came")


def test_taking_a_replacement_back_brings_back_the_values_that_went_with_it() -> None:
    clock = make.controller(output_volts=24.0, station_count=12)
    first = equipment.replace_equipment(
        controller=clock, values={**NEW, "label": "old"}, brought={}, on=DAY, today=TODAY
    )
    equipment.replace_equipment(
        controller=clock, values=NEW, brought=BROUGHT, on=day(9), today=TODAY
    )
    equipment.take_back_equipment(controller=clock, why="not yet")
    clock.refresh_from_db()
    assert (clock.output_volts, clock.transformer_va, clock.station_count) == (24.0, None, 12)
    assert equipment.equipment_now(clock) == first


def test_taking_back_leaves_what_was_put_right_since() -> None:
    clock = make.controller(output_volts=24.0)
    equipment.replace_equipment(controller=clock, values=NEW, brought=BROUGHT, on=DAY, today=TODAY)
    clock.output_volts = 27.5
    clock.save()
    equipment.take_back_equipment(controller=clock, why="not yet")
    assert (clock.output_volts, clock.station_count) == (27.5, None)


def test_equipment_that_switches_too_few_is_refused() -> None:
    clock = make.station().controller
    make.station(controller=clock)
    with pytest.raises(UnableToReplaceEquipment, match="2 stations are in use"):
        equipment.replace_equipment(
            controller=clock, values=NEW, brought={"station_count": 1}, on=DAY, today=TODAY
        )


def test_a_wrong_serial_number_is_put_right() -> None:
    clock = make.controller()
    row = equipment.replace_equipment(controller=clock, values=NEW, brought={}, on=DAY, today=TODAY)
    equipment.correct_equipment(equipment=row, values={**NEW, "serial": "S3"}, why="misread")
    assert (row.serial, history(row)[-1][1]) == ("S3", "was wrong: misread")
