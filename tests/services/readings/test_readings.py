"""Readings: taken, judged at once, voided when they were wrong."""

from datetime import date, timedelta
from typing import Any

import pytest

from faults.models import Reading, ReadingKind
from faults.readings.services.judging import Judged, courses_of, expectations, judge_value
from faults.readings.services.readings import (
    UnableToTakeReading,
    UnableToVoidReading,
    take_reading,
    void_reading,
)
from sites.models import Feed, Station, Wiring
from sites.wires.engines.judge import Judgement
from sites.wires.engines.warmth import Warmth
from tests import make
from tests.services.yard import make_yard

pytestmark = pytest.mark.django_db

TODAY = make.TODAY


def take(station: Station | None = None, **given: Any) -> Reading:
    """Take 24 ohms today, or what is given."""
    defaults = {"kind": ReadingKind.OHMS, "value": 24.0, "taken_on": TODAY, "by": None}
    return take_reading(station=station or make.station(), today=TODAY, **{**defaults, **given})


def judged(
    station: Station, value: float, kind: str = ReadingKind.OHMS, celsius: float = 20.0
) -> Judged:
    """Judge a value as if it were taken now."""
    expected, good = expectations([station])
    warmth = Warmth(celsius, celsius, 2.0)
    return judge_value(kind, value, expected[station.pk], good.get(station.pk), warmth)


def known(**given: Any) -> Station:
    """Make a station that should read 50.4 ohm: coil 44, 500 ft of No. 18."""
    return make.station(**{"run_length_ft": 500.0, "wire_size": "18", "coil_ohms": 44.0, **given})


def test_a_reading_keeps_the_wire_that_it_was_taken_on() -> None:
    yard = make_yard()
    assert take(yard.first).wire == yard.w1


def test_a_reading_has_a_history_row() -> None:
    assert take().history.get().history_type == "+"


@pytest.mark.parametrize("value", [-0.1, 10_000_001.0, float("nan"), float("inf")])
def test_a_value_that_cannot_be_is_refused(value: float) -> None:
    with pytest.raises(UnableToTakeReading) as refusal:
        take(value=value)
    assert refusal.value.field == "value"
    assert not Reading.objects.exists()


def test_a_day_to_come_is_refused() -> None:
    with pytest.raises(UnableToTakeReading) as refusal:
        take(taken_on=TODAY + timedelta(days=1))
    assert refusal.value.field == "taken_on"


def test_on_a_two_wire_path_only_volts_are_taken() -> None:
    station = make.station(controller=make.controller(wiring=Wiring.TWO_WIRE))
    with pytest.raises(UnableToTakeReading, match="two-wire path"):
        take(station)
    assert take(station, kind=ReadingKind.VOLTS).value == 24.0


def test_a_voided_reading_stays_with_its_reason_in_the_history() -> None:
    reading = void_reading(reading=take(), why=" leads swapped ", today=TODAY)
    kept = Reading.objects.get(pk=reading.pk)
    assert (kept.voided_on, kept.why_voided) == (TODAY, "leads swapped")
    assert [row.why_voided for row in kept.history.all()] == ["leads swapped", ""]


def test_a_reading_is_voided_once() -> None:
    reading = void_reading(reading=take(), why="leads", today=TODAY)
    with pytest.raises(UnableToVoidReading):
        void_reading(reading=reading, why="again", today=TODAY)


def test_a_reading_is_not_voided_without_a_reason() -> None:
    with pytest.raises(UnableToVoidReading) as refusal:
        void_reading(reading=take(), why="  ", today=TODAY)
    assert refusal.value.field == "why"


@pytest.mark.parametrize(
    ("value", "judgement"),
    [
        (50.4, Judgement.FINE),
        (65.0, Judgement.PARTIAL),
        (9_999_999.0, Judgement.OPEN),
        (28.4, Judgement.TWO_COILS),
        (6.4, Judgement.SHORT_AT_VALVE),
        (2.0, Judgement.SHORT_ON_THE_WAY),
    ],
)
def test_ohms_are_judged_by_what_wire_and_coil_make(value: float, judgement: Judgement) -> None:
    assert judged(known(), value).judgement is judgement


def test_its_own_last_good_reading_judges_before_what_was_computed() -> None:
    station = known()
    assert judged(station, 49.0).judgement is Judgement.FINE
    make.reading(station=station, value=41.0)
    found = judged(station, 49.5)
    assert (found.own_last_good, found.judgement) == (41.0, Judgement.PARTIAL)


def test_a_voided_reading_judges_nothing() -> None:
    station = known()
    reading = make.reading(station=station, value=41.0)
    void_reading(reading=reading, why="leads", today=TODAY)
    assert judged(station, 50.0).own_last_good is None


def test_a_reading_out_of_its_band_is_no_good_reading() -> None:
    station = known()
    make.reading(station=station, value=90.0)
    assert judged(station, 50.0).own_last_good is None


def test_a_swap_of_wire_starts_anew() -> None:
    yard = make_yard()
    take(yard.first, taken_on=date(2025, 5, 1))
    assert judged(yard.first, 24.0).own_last_good == 24.0
    feed = Feed.objects.get(station=yard.first)
    feed.to_on = TODAY
    feed.save()
    Feed.objects.create(station=yard.first, wire=yard.spare, from_on=TODAY)
    assert judged(yard.first, 24.0).own_last_good is None


def test_insulation_is_judged_by_megohms() -> None:
    station = make.station()
    found = [judged(station, value, ReadingKind.INSULATION).judgement for value in (0.05, 0.2, 9)]
    assert found == [Judgement.LEAK, Judgement.WATCH, Judgement.FINE]


def test_volts_are_kept_and_not_judged() -> None:
    assert judged(known(), 24.0, ReadingKind.VOLTS).judgement is Judgement.NOT_KNOWN


def test_ohms_on_a_two_wire_path_are_not_judged() -> None:
    station = known(controller=make.controller(wiring=Wiring.TWO_WIRE))
    assert judged(station, 50.0).judgement is Judgement.NOT_KNOWN


def test_ohms_are_judged_at_20_degrees() -> None:
    assert judged(known(), 61.0).judgement is Judgement.PARTIAL
    warm = judged(known(), 61.0, celsius=38.0)
    assert warm.judgement is Judgement.FINE
    assert warm.at_20_c == pytest.approx(61.0 / (1 + 0.00393 * 18))


def test_an_open_wire_has_no_warmth() -> None:
    found = judged(known(), 10_000.0, celsius=40.0)
    assert (found.judgement, found.at_20_c) == (Judgement.OPEN, 10_000.0)


@pytest.mark.parametrize(
    ("megohms", "celsius", "judgement"),
    [
        (0.4, 20.0, Judgement.WATCH),
        (0.4, 30.0, Judgement.FINE),
        (0.4, 0.0, Judgement.WATCH),
        (0.39, 0.0, Judgement.LEAK),
        (0.6, 10.0, Judgement.WATCH),
    ],
)
def test_insulation_is_judged_at_20_degrees(
    megohms: float, celsius: float, judgement: Judgement
) -> None:
    # It halves for each 10 C more, so warm ground makes sound insulation look bad.
    found = judged(known(), megohms, ReadingKind.INSULATION, celsius)
    assert found.judgement is judgement


def test_its_own_last_good_is_kept_at_20_degrees() -> None:
    station = known()
    take(station, value=54.0, temperature_f=95.0)
    _expected, good = expectations([station])
    assert good[station.pk] == pytest.approx(51.0, abs=0.01)


def test_without_a_temperature_the_grounds_usual_warmth_is_taken() -> None:
    station = known()
    place = station.controller.property
    place.latitude = 34.0
    place.save()
    take(station, value=50.0, taken_on=date(2025, 2, 1))
    take(station, value=50.0, taken_on=date(2024, 8, 5))
    course = courses_of([station])[station.pk]
    summer, winter = (each.at_20_c for each in course.judged)
    assert summer is not None
    assert winter is not None
    assert winter > 50.0 > summer
    assert course.assumed == 2
    place.ground_coldest_f = place.ground_warmest_f = 68.0
    place.save()
    station = Station.objects.get(pk=station.pk)
    assert [each.at_20_c for each in courses_of([station])[station.pk].judged] == pytest.approx(
        [50.0, 50.0]
    )


def test_two_sound_coils_on_one_wire_are_fine_from_the_day_of_the_doubling() -> None:
    yard = make_yard()
    day = date(2025, 3, 1)
    Station.objects.update(coil_ohms=30.0, wire_size="14")
    take(yard.first, value=31.0, taken_on=date(2025, 2, 28), temperature_f=68.0)
    Feed.objects.filter(station=yard.second).delete()
    Feed.objects.create(station=yard.second, wire=yard.w1, from_on=day)
    take(yard.first, value=16.5, taken_on=day, temperature_f=68.0)
    before, after = courses_of([yard.first])[yard.first.pk].judged
    assert (before.judgement, after.judgement) == (Judgement.NOT_KNOWN, Judgement.FINE)


@pytest.mark.parametrize("kind", [ReadingKind.OHMS, ReadingKind.INSULATION])
def test_ohms_are_never_read_on_a_live_circuit(kind: str) -> None:
    with pytest.raises(UnableToTakeReading, match="never read on a live circuit") as refusal:
        take(kind=kind, is_loaded=True)
    assert refusal.value.field == "is_loaded"
    assert not Reading.objects.exists()
    assert take(kind=ReadingKind.VOLTS, value=24.0, is_loaded=True).is_loaded is True
