"""Each named rule on stations, schedules, stopgaps and spells refuses what it names."""

from datetime import date, timedelta

import pytest
from django.db.models import F

from sites.models import Schedule, Spell, SpellPart, Station, StationFacts, Stopgap
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db

DAY = date(2025, 3, 10)
BEFORE = DAY - timedelta(days=1)


def test_station_numbered_once_per_controller() -> None:
    first = make.station(number=4)
    make.station(number=4)
    with refused_by("station_numbered_once_per_controller"):
        make.station(controller=first.controller, number=4)


def test_a_retired_station_gives_its_number_free() -> None:
    first = make.station(number=4, retired_on=DAY)
    again = make.station(controller=first.controller, number=4)
    assert again.pk != first.pk


def test_station_does_not_depend_on_itself() -> None:
    station = make.station()
    with refused_by("station_does_not_depend_on_itself"):
        Station.objects.filter(pk=station.pk).update(depends_on=F("id"))


def test_station_run_length_not_negative() -> None:
    with refused_by("station_run_length_not_negative"):
        make.station(run_length_ft=-1.0)


def test_station_facts_end_after_they_start() -> None:
    with refused_by("station_facts_end_after_they_start"):
        StationFacts.objects.create(station=make.station(), from_on=DAY, to_on=BEFORE)


@pytest.mark.parametrize(
    "column", ["area_sqft", "flow_gpm", "precipitation_in_per_h", "plant_factor"]
)
def test_station_facts_not_negative(column: str) -> None:
    with refused_by("station_facts_not_negative"):
        StationFacts.objects.create(station=make.station(), **{column: -0.1})


@pytest.mark.parametrize("efficiency", [0.0, 1.01])
def test_station_efficiency_above_0_up_to_1(efficiency: float) -> None:
    with refused_by("station_efficiency_above_0_up_to_1"):
        StationFacts.objects.create(station=make.station(), efficiency=efficiency)


def test_schedule_ends_after_it_starts() -> None:
    with refused_by("schedule_ends_after_it_starts"):
        Schedule.objects.create(station=make.station(), from_on=DAY, to_on=BEFORE, minutes=10)


def test_schedule_minutes_not_negative() -> None:
    with refused_by("schedule_minutes_not_negative"):
        Schedule.objects.create(station=make.station(), from_on=DAY, minutes=-1)


def test_device_named_once_per_property() -> None:
    device = make.device(name="T1")
    make.device(name="T1")
    with refused_by("device_named_once_per_property"):
        make.device(property=device.property, name="T1")


def test_stopgap_fitted_window_in_order() -> None:
    with refused_by("stopgap_fitted_window_in_order"):
        make.stopgap(fitted_earliest=DAY, fitted_latest=BEFORE)


def test_stopgap_removed_after_fitted() -> None:
    with refused_by("stopgap_removed_after_fitted"):
        make.stopgap(on=DAY, removed_on=BEFORE)


def test_stopgap_removed_after_first_seen() -> None:
    with refused_by("stopgap_removed_after_first_seen"):
        make.stopgap(fitted_earliest=None, fitted_latest=None, first_seen_on=DAY, removed_on=BEFORE)


@pytest.mark.parametrize("end", ["fitted_earliest", "fitted_latest"])
def test_stopgap_fitted_window_has_both_ends(end: str) -> None:
    with refused_by("stopgap_fitted_window_has_both_ends"):
        make.stopgap(on=DAY, first_seen_on=DAY, **{end: None})


def test_stopgap_has_a_first_day() -> None:
    row = Stopgap(station=make.station(), kind="by hand", counted_from=DAY)
    with refused_by("stopgap_has_a_first_day"):
        Stopgap.objects.bulk_create([row])


def test_stopgap_counted_from_follows_its_days() -> None:
    stopgap = make.stopgap(on=DAY)
    with refused_by("stopgap_counted_from_follows_its_days"):
        Stopgap.objects.filter(pk=stopgap.pk).update(counted_from=BEFORE)


def test_stopgap_source_key_once_per_station() -> None:
    stopgap = make.stopgap(on=BEFORE, removed_on=DAY, source_key="row 7")
    make.stopgap(source_key="row 7")
    with refused_by("stopgap_source_key_once_per_station"):
        make.stopgap(station=stopgap.station, on=DAY, source_key="row 7")


def test_spell_one_open_per_station() -> None:
    spell = Spell.objects.create(station=make.station(), from_on=DAY)
    with refused_by("spell_one_open_per_station"):
        Spell.objects.create(station=spell.station, from_on=BEFORE)


def test_spell_lasts_a_day() -> None:
    with refused_by("spell_lasts_a_day"):
        Spell.objects.create(station=make.station(), from_on=DAY, to_on=DAY)


def _part(spell: Spell, **days: date) -> SpellPart:
    return SpellPart.objects.create(
        spell=spell, station=spell.station, reason="wire", **{"from_on": DAY, **days}
    )


def test_spell_part_one_open_per_station() -> None:
    spell = Spell.objects.create(station=make.station(), from_on=DAY)
    _part(spell)
    # Two open parts share days too; whichever rule is checked first refuses.
    with refused_by("spell_part_one_open_per_station"):
        _part(spell, from_on=BEFORE)


def test_spell_part_lasts_a_day() -> None:
    spell = Spell.objects.create(station=make.station(), from_on=DAY)
    with refused_by("spell_part_lasts_a_day"):
        _part(spell, to_on=DAY)
