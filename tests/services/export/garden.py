"""A garden with a row in every sheet of the register and a value in every column."""

from datetime import date, time
from typing import Any

from faults.models import Break
from sites.models import (
    AtPoint,
    Central,
    ClimateRow,
    Contact,
    Feed,
    Property,
    Schedule,
    StationFacts,
    Tariff,
    Termination,
    Wire,
    WireAtPoint,
    WireLeg,
)
from tests import make

HARD_WORDS = ["=1+1", "+1 555 0101", "-", "–", "@home", "'=kept", "''-", "a, b; c", "back\nhome"]
_NOTES = "=kept; as, it is\non two lines"


def make_garden() -> Property:
    """Make a metric property with one of everything, and values that are easy to lose."""
    place = make.place(
        code="-Ω garden",
        name="",
        units="metric",
        latitude=-33.1,
        longitude=0.1,
        kind="park",
        soil="loam",
        records_since=date(2019, 2, 3),
        notice_region="north",
        climate_table="shared",
        season_start="03-15",
        season_end="10-31",
        ground_coldest_f=33.3,
        ground_warmest_f=500 / 7,
        notes=_NOTES,
    )
    rates = {"labour_rate": "74.5", "standby_rate": "12.25"}
    Tariff.objects.create(property=place, water_price="6.4321", price_unit="m3", **rates)
    reached = {"phone": "+34 600", "email": "pip@example.org", "language": "es"}
    Contact.objects.create(property=place, name="@Pip", role="pays", **reached)
    clock = make.controller(
        property=place,
        name="1-2",
        central=Central.LINK_LOST,
        station_count=12,
        output_volts=26.5,
        transformer_va=40.0,
        wiring="one wire per station",
        latitude=1 / 3,
        longitude=-2 / 3,
        notes=_NOTES,
    )
    make.central_state(controller=clock, from_on=date(2025, 3, 5), from_is_exact=False)
    _ground(place, clock)
    return place


def _ground(place: Property, clock: Any) -> None:
    seen = {"latitude": 0.1, "longitude": -0.2, "accuracy_ft": 9.9, "lid": "green", "notes": _NOTES}
    ends = [
        make.point(property=place, name=name, kind=kind, depth_in=1 / 3, tie_1="oak", **more)
        for name, kind, more in (
            ("A, north", "controller", {**seen, "tie_2": "7 m, gate", "is_surveyed": True}),
            ("V", "valve box", {"is_surveyed": False}),
        )
    ]
    leg = {"property": place, "from_point": ends[0], "to_point": ends[1], "length_ft": 0.1 + 0.2}
    unlabelled = make.leg(**leg, is_surveyed=False)
    lies = {"length_source": "paced", "depth_in": 17.7, "cover": "turf", "notes": _NOTES}
    make.leg(**leg, **lies, label="L-2", running_number=2, in_conduit=False)
    window = {"laid_earliest": date(2014, 1, 1), "laid_latest": date(2014, 12, 31)}
    looks = {"colour": "red", "size": "14 AWG", "cable": "C-1", "retired_on": date(2025, 5, 5)}
    wire = make.wire(property=place, name="W=1", **window, **looks)
    WireLeg.objects.create(wire=wire, leg=unlabelled)
    WireAtPoint.objects.create(wire=wire, point=ends[0], how=AtPoint.SPLICED)
    Termination.objects.create(wire=wire, controller=clock, terminal="07")
    _stations(clock, wire, ends[1], unlabelled)


def _stations(clock: Any, wire: Wire, box: Any, leg: Any) -> None:
    master = make.station(controller=clock, number=9, kind="master valve", run_length_ft=None)
    station = make.station(
        controller=clock,
        number=7,
        name="Lawn",
        valve_point=box,
        wire_size="2.5 mm2",
        coil_ohms=31.7,
        second_coil_ohms=27.3,
        depends_on=master,
        notes=_NOTES,
    )
    Feed.objects.create(station=station, wire=wire)
    StationFacts.objects.create(
        station=station,
        area_sqft=1e-5,
        flow_gpm=2 / 3,
        efficiency=0.7,
        precipitation_in_per_h=0.45,
        plant_kind="lawn",
        plant_factor=0.8,
    )
    Schedule.objects.create(
        station=station,
        from_on=date(2025, 1, 1),
        to_on=date(2025, 4, 1),
        run_by="hand",
        minutes=12.5,
        days="every 3",
        starts="04:30;06:30",
        notes=_NOTES,
    )
    _stopgaps(station)
    called = {"caller": "Ms Vole", "order_number": "=PO 7", "promised_on": date(2025, 6, 20)}
    told = {"symptom": "runs with another", "runs_with": master, "summary": "two\nlines"}
    hours = {"promised_from": time(8, 5), "promised_until": time(10)}
    fault = make.fault(station, master, **told, **called, **hours)
    Break.objects.create(fault=fault, leg=leg, feet_along=0.1, cause="rodent").wires.add(wire)
    _mended_fault(master, wire, leg)
    measured = {"is_loaded": False, "is_new_coil": True, "temperature_f": 61.3, "taken_by": "@Pip"}
    make.reading(
        station=station, value=24.125, taken_at_time=time(7, 5), point=box, notes="=n", **measured
    )
    make.reading(station=station, kind="loop", value=44.5, across_ohms=39.75, is_open_apart=True)
    ClimateRow.objects.create(
        table="shared", month=7, eto_in=0.3, rain_in=0.7 / 9, is_estimated=True, source="=table"
    )


def _mended_fault(station: Any, wire: Wire, leg: Any) -> None:
    closed = {"stage": "returned", "closed_on": date(2025, 5, 20)}
    fault = make.fault(station, key="-F 1", **closed)
    fault.stations.update(how_returned="mended")
    found = make.break_found(
        fault=fault,
        leg=leg,
        feet_along=0.2,
        from_point=leg.to_point,
        depth_in=8.8,
        damage="nick",
        latitude=0.1,
        longitude=-0.3,
        mended_on=date(2025, 5, 19),
        how_mended="spliced; again",
        notes=_NOTES,
    )
    found.wires.add(wire)


def _stopgaps(station: Any) -> None:
    timer = make.device(
        property=station.controller.property,
        name="T",
        battery_kind="two AA",
        battery_changed_on=date(2025, 2, 2),
    )
    make.stopgap(
        station=station,
        device=timer,
        reason="valve or solenoid",
        notes=HARD_WORDS[0],
        first_seen_on=date(2025, 1, 9),
        agreed_until=date(2026, 1, 1),
        main_valve="held open",
        source_key="-k 1",
    )
    windows = [(2021, 1, 1, 2021, 12, 31), (2022, 6, 1, 2022, 6, 30), (2023, 2, 3, 2023, 5, 1)]
    for number, (y1, m1, d1, y2, m2, d2) in enumerate(windows):
        make.stopgap(
            station=station,
            fitted_earliest=date(y1, m1, d1),
            fitted_latest=date(y2, m2, d2),
            removed_on=date(y2, m2, d2),
            end_reason="the wire was mended",
            reason_given="chewed",
            notes=HARD_WORDS[number],
        )
