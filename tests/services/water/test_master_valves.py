"""A timer behind a closed master valve waters nothing; until somebody says, it is not known."""

from datetime import UTC, date, datetime

import pytest

from sites.models import MainValve, Meter, Station, Stopgap, WaterMonth
from sites.stopgaps.services.stopgaps import UnableToSayMainValve, say_main_valve
from sites.water.services.ledger import rebuild_all_water
from tests import make, make_water

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
LAWN_GAL = 49_896


@pytest.fixture
def lawn() -> Station:
    """The worked spell, of a station that depends on a master valve, which depends on a pump."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    station = make_water.lawn(removed_on=date(2025, 11, 11))
    clock = station.controller
    make_water.tariff(clock.property)
    pump = make.station(controller=clock, number=91, kind="pump start")
    main = make.station(controller=clock, number=90, kind="master valve", depends_on=pump)
    station.depends_on = main
    station.save()
    return station


def meter(station: Station) -> Meter:
    """Return its one meter, and see that nothing was forgotten on the way."""
    assert rebuild_all_water(at=NOW) == 0
    found: Meter = Meter.objects.get(spell__station=station)
    return found


def above(station: Station) -> tuple[Station, Station]:
    """Return its master valve and its pump."""
    main = station.depends_on
    assert main is not None
    assert main.depends_on is not None
    return main, main.depends_on


def hold(station: Station, kind: str, on: date, removed_on: date | None = None) -> Stopgap:
    """Let a stopgap stand on a master valve or pump."""
    return make.stopgap(station=station, kind=kind, on=on, removed_on=removed_on)


def test_nobody_said_how_it_opens_so_the_water_is_not_known(lawn: Station) -> None:
    found = meter(lawn)
    assert (found.applied_gal, found.excess_gal, found.cost) == (None, None, None)
    assert (found.months_known, found.lacks) == (0, "main valve")


@pytest.mark.parametrize(
    ("said", "gallons", "lacks"),
    [
        (MainValve.SAME_MINUTES, LAWN_GAL, ""),
        (MainValve.HELD_OPEN, LAWN_GAL, ""),
        (MainValve.REMOVED, LAWN_GAL, ""),
        (MainValve.SHUT, 0, ""),
        ("", None, "main valve"),
    ],
)
def test_what_is_said_makes_it_a_number(
    lawn: Station, said: str, gallons: float | None, lacks: str
) -> None:
    say_main_valve(stopgaps=list(lawn.stopgaps.all()), main_valve=said)
    found = meter(lawn)
    assert (found.applied_gal, found.lacks) == (gallons, lacks)
    assert lawn.stopgaps.get().history.count() == 2


def test_a_station_that_depends_on_nothing_needs_no_answer(lawn: Station) -> None:
    lawn.depends_on = None
    lawn.save()
    assert meter(lawn).applied_gal == LAWN_GAL
    with pytest.raises(UnableToSayMainValve, match="depends on no master valve"):
        say_main_valve(stopgaps=list(lawn.stopgaps.all()), main_valve=MainValve.REMOVED)
    with pytest.raises(UnableToSayMainValve, match="at least one"):
        say_main_valve(stopgaps=[], main_valve=MainValve.REMOVED)


def test_both_the_master_valve_and_the_pump_must_open(lawn: Station) -> None:
    main, pump = above(lawn)
    hold(main, "held open", date(2025, 7, 18))
    assert meter(lawn).lacks == "main valve"
    hold(pump, "held open", date(2025, 7, 18))
    assert (meter(lawn).applied_gal, meter(lawn).lacks) == (LAWN_GAL, "")


def test_days_on_which_it_stands_open_are_known_and_others_are_not(lawn: Station) -> None:
    main, pump = above(lawn)
    pump.retired_on = date(2025, 1, 1)
    pump.save()
    # August and September; the day of its removal is no longer open.
    hold(main, "held open", date(2025, 8, 1), date(2025, 10, 1))
    known = WaterMonth.objects.filter(station=lawn, applied_gal__isnull=False)
    assert [row.month.month for row in known.order_by("month")] == [8, 9]
    assert (meter(lawn).months, meter(lawn).months_known) == (5, 2)
    assert meter(lawn).applied_gal == 12_852 + 13_608


def test_what_is_known_of_the_main_itself_goes_before_what_was_said(lawn: Station) -> None:
    main, _pump = above(lawn)
    say_main_valve(stopgaps=list(lawn.stopgaps.all()), main_valve=MainValve.SAME_MINUTES)
    hold(main, "shut off", date(2025, 8, 1), date(2025, 9, 1))
    assert meter(lawn).applied_gal == LAWN_GAL - 12_852
    main.outages.create(kind="switched off", from_on=date(2025, 9, 1), to_on=date(2025, 10, 1))
    assert meter(lawn).applied_gal == LAWN_GAL - 12_852 - 13_608


@pytest.mark.parametrize("kind", ["by hand", "held open"])
def test_what_stands_open_or_is_opened_by_hand_needs_the_main_too(lawn: Station, kind: str) -> None:
    gap = lawn.stopgaps.get()
    gap.kind = kind
    gap.save()
    assert meter(lawn).lacks == "main valve"


def test_a_valve_that_is_shut_and_a_clock_that_runs_on_need_no_answer(lawn: Station) -> None:
    gap = lawn.stopgaps.get()
    gap.kind = "shut off"
    gap.save()
    assert (meter(lawn).applied_gal, meter(lawn).lacks) == (0, "")
    beside = make.station(controller=lawn.controller, depends_on=lawn.depends_on)
    make_water.facts(beside)
    make_water.schedule(beside, run_by="controller")
    make.central_state(controller=lawn.controller, from_on=date(2026, 3, 1), to_on=date(2026, 4, 1))
    assert meter(beside).lacks == ""
    assert (meter(beside).applied_gal or 0) > 0


def test_where_nothing_runs_it_does_not_matter(lawn: Station) -> None:
    lawn.outages.create(kind="dead battery", from_on=date(2025, 7, 18), to_on=date(2025, 11, 11))
    assert (meter(lawn).applied_gal, meter(lawn).lacks) == (0, "")
