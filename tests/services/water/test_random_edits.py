"""Random edits in random order leave the same ledger as working it all out from scratch."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from sites.kernel.services.verbs import UnableToAct
from sites.models import (
    ClimateRow,
    Meter,
    Outage,
    Schedule,
    Station,
    StationFacts,
    Stopgap,
    Tariff,
    WaterMonth,
)
from sites.water.services.ledger import rebuild_all_water
from sites.water.services.metering import KEPT, KEPT_OF_METER
from tests import make, make_water
from tests.examples import examples

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]

FIRST = date(2025, 3, 1)


def day(n: int) -> date:
    """Return a day of the tests' two years."""
    return FIRST + timedelta(days=n)


EDITS = st.lists(
    st.tuples(
        st.sampled_from(
            [
                *("fit", "remove", "kind", "lose link", "link again", "schedule", "end schedule"),
                *("minutes", "facts", "forget flow", "outage", "no outage", "tariff", "price"),
                *("climate", "no climate", "own climate", "season", "table", "retire"),
                *("depend", "stand alone", "say main"),
            ]
        ),
        st.integers(0, 2),
        st.integers(0, 500),
        st.integers(0, 200),
    ),
    min_size=3,
    max_size=14,
)


def edit(station: Station, verb: str, start: int, length: int) -> None:
    """Do one edit by saving rows, as the verbs do."""
    place = station.controller.property
    first, last = day(start), day(start + length)
    rows: dict[str, Any] = {
        "schedule": Schedule.objects.filter(station=station).order_by("pk").first(),
        "facts": StationFacts.objects.filter(station=station).order_by("pk").first(),
        "tariff": Tariff.objects.filter(property=place).order_by("pk").first(),
        "stopgap": Stopgap.objects.filter(station=station).order_by("-pk").first(),
    }
    if verb == "fit":
        make.stopgap(station=station, on=first, removed_on=last if length % 3 else None)
    elif verb == "remove" and rows["stopgap"]:
        rows["stopgap"].removed_on = max(last, rows["stopgap"].counted_from)
        rows["stopgap"].save()
    elif verb == "kind" and rows["stopgap"]:
        rows["stopgap"].kind = "shut off" if length % 2 else "by hand"
        rows["stopgap"].save()
    elif verb == "lose link":
        make.central_state(
            controller=station.controller, from_on=first, to_on=day(start + length + 1)
        )
    elif verb == "link again":
        station.controller.states.all().delete()
    elif verb == "schedule":
        make_water.schedule(station, from_on=first, days="every 3", minutes=length)
    elif verb == "end schedule" and rows["schedule"]:
        rows["schedule"].to_on = max(first, rows["schedule"].from_on)
        rows["schedule"].save()
    elif verb == "minutes" and rows["schedule"]:
        rows["schedule"].minutes = length
        rows["schedule"].save()
    elif verb == "facts":
        rows["facts"].area_sqft, rows["facts"].flow_gpm = 100.0 + start, 1.0 + length
        rows["facts"].save()
    elif verb == "forget flow":
        rows["facts"].flow_gpm = None
        rows["facts"].save()
    elif verb == "outage":
        Outage.objects.create(station=station, kind="dead battery", from_on=first, to_on=last)
    elif verb == "no outage":
        for outage in station.outages.all():
            outage.to_on = outage.from_on
            outage.save()
    elif verb == "tariff":
        rows["tariff"].to_on = first
        rows["tariff"].save()
        make_water.tariff(place, from_on=first, water_price=str(length + 1))
    elif verb == "price":
        rows["tariff"].water_price = None if length % 4 == 0 else str(length)
        rows["tariff"].save()
    elif verb == "climate":
        ClimateRow.objects.create(
            table="Valley", year=first.year, month=first.month, eto_in=length / 20, source="x"
        )
    elif verb == "no climate":
        ClimateRow.objects.filter(table="Valley", month=first.month).delete()
    elif verb == "own climate":
        ClimateRow.objects.create(
            table=place.code, property=place, month=first.month, eto_in=length / 20, source="x"
        )
    elif verb == "season":
        place.season_start, place.season_end = ("03-01", "10-15") if length % 2 else ("", "")
        place.save()
    elif verb == "table":
        place.climate_table = "Valley" if length % 2 else "nowhere"
        place.save()
    elif verb == "retire":
        station.retired_on = last if length % 2 else None
        station.save()
    elif verb in ("depend", "stand alone"):
        upper = station.controller.stations.exclude(pk=station.pk).first()
        if upper is not None and upper.depends_on_id != station.pk:
            station.depends_on = upper if verb == "depend" else None
            station.save()
    elif verb == "say main" and rows["stopgap"]:
        rows["stopgap"].main_valve = ("", "stays shut", "same minutes")[length % 3]
        rows["stopgap"].kind = ("held open", "battery timer", "battery timer")[length % 3]
        rows["stopgap"].save()


def rows_now() -> tuple[list[tuple[Any, ...]], list[tuple[Any, ...]]]:
    """Return ledger and meters as they stand."""
    months = WaterMonth.objects.order_by("station", "month").values_list("station", "month", *KEPT)
    meters = Meter.objects.order_by("spell__station", "spell__from_on").values_list(
        "spell__station", "spell__from_on", *KEPT_OF_METER
    )
    return list(months), list(meters)


@settings(max_examples=examples(40))
@given(EDITS)
def test_step_by_step_equals_from_scratch(edits: list[tuple[str, int, int, int]]) -> None:
    with transaction.atomic():
        make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
        first = make_water.lawn()
        make_water.tariff(first.controller.property)
        beside = make_water.lawn(controller=first.controller, on=date(2025, 5, 5))
        elsewhere = make_water.lawn(make.place(climate_table="Valley"), removed_on=date(2025, 9, 9))
        make_water.tariff(elsewhere.controller.property, water_price="9")
        stations = [first, beside, elsewhere]
        for verb, which, start, length in edits:
            try:
                with transaction.atomic():
                    edit(Station.objects.get(pk=stations[which].pk), verb, start, length)
            except (IntegrityError, UnableToAct):  # refused, and nothing changed
                continue
        by_steps = rows_now()
        assert rebuild_all_water() == 0
        WaterMonth.objects.all().delete()
        Meter.objects.all().delete()
        rebuild_all_water()
        assert rows_now() == by_steps
        transaction.set_rollback(True)
