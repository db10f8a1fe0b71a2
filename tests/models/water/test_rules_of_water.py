"""Each named rule on outages, valves stuck open, the ledger and the meter refuses."""

from datetime import date

import pytest

from sites.models import Meter, NotWritten, Outage, Spell, StuckOpen, WaterMonth
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db

DAY = date(2025, 6, 1)


def test_outage_ends_after_it_starts() -> None:
    station = make.station()
    Outage.objects.create(station=station, kind="dead battery", from_on=DAY, to_on=DAY)
    with refused_by("outage_ends_after_it_starts"):
        Outage.objects.create(
            station=station, kind="dead battery", from_on=DAY, to_on=date(2025, 5, 31)
        )


@pytest.mark.parametrize("hours", [0, -1, 745])
def test_stuck_open_lasted_some_time(hours: float) -> None:
    with refused_by("stuck_open_lasted_some_time"):
        StuckOpen.objects.create(station=make.station(), on=DAY, hours=hours)


def test_water_month_once_per_station() -> None:
    row = {"station": make.station(), "month": DAY, "days": 3, "lacks": "flow"}
    WaterMonth.objects.create(**row)
    with refused_by("water_month_once_per_station"):
        WaterMonth.objects.create(**row)


def test_water_month_known_or_says_what_it_lacks() -> None:
    with refused_by("water_month_known_or_says_what_it_lacks"):
        WaterMonth.objects.create(station=make.station(), month=DAY, days=3)


@pytest.mark.parametrize(("known", "priced"), [(2, 0), (1, 2)])
def test_meter_knows_no_more_months_than_there_are(known: int, priced: int) -> None:
    spell = Spell.objects.create(station=make.station(), from_on=DAY)
    with refused_by("meter_knows_no_more_months_than_there_are"):
        Meter.objects.create(spell=spell, months=1, months_known=known, months_priced=priced)


def test_not_written_said_once_of_a_fact() -> None:
    station = make.station()
    NotWritten.objects.create(station=station, fact="flow_gpm", said_on=DAY)
    NotWritten.objects.create(station=station, fact="area_sqft", said_on=DAY)
    with refused_by("not_written_said_once_of_a_fact"):
        NotWritten.objects.create(station=station, fact="flow_gpm", said_on=DAY)
