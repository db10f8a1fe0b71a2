"""A check-up knows whose coil a battery timer has taken off the wire."""

from datetime import date, timedelta

import pytest

from faults.readings.forms.meter import OPEN_OHMS
from faults.readings.services.checkup import overview
from faults.readings.services.judging import courses_of
from sites.models import Controller, Station, Stopgap, StopgapKind
from sites.wires.engines.judge import Judgement
from tests import make

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
OFF_SINCE = date(2025, 6, 1)


def on_timer(clock: Controller) -> Station:
    """A station of 1,000 ft of No. 14 on a timer."""
    station = make.station(controller=clock, run_length_ft=1000.0, wire_size="14", coil_ohms=40.0)
    make.stopgap(station=station, on=OFF_SINCE)
    return station


@pytest.fixture
def clock() -> Controller:
    """A clock."""
    return make.controller()


def test_a_check_up_knows_who_is_off_the_coil(clock: Controller) -> None:
    station = on_timer(clock)
    days = [OFF_SINCE - timedelta(days=1), OFF_SINCE, OFF_SINCE + timedelta(days=1), TODAY]
    for day in days:
        make.reading(station=station, value=OPEN_OHMS, taken_on=day)
    make.reading(station=station, value=2.0, taken_on=TODAY)
    judged = [each.judgement for each in courses_of([station])[station.pk].judged]
    assert judged[:2] == [Judgement.OPEN, Judgement.OPEN]
    assert judged[2:4] == [Judgement.OFF_THE_COIL] * 2
    # What is no open circuit is judged as ever.
    assert judged[4] is Judgement.SHORT_ON_THE_WAY
    Stopgap.objects.filter(station=station).update(removed_on=TODAY)
    judged = [each.judgement for each in courses_of([station])[station.pk].judged]
    assert judged[2:4] == [Judgement.OFF_THE_COIL, Judgement.OPEN]


def test_by_hand_the_coil_is_still_on(clock: Controller) -> None:
    station = on_timer(clock)
    Stopgap.objects.filter(station=station).update(kind=StopgapKind.BY_HAND)
    make.reading(station=station, value=OPEN_OHMS)
    assert courses_of([station])[station.pk].judged[0].judgement is Judgement.OPEN


def test_it_stands_below_what_needs_a_look(clock: Controller) -> None:
    timer, broken = on_timer(clock), make.station(controller=clock)
    make.reading(station=timer, value=OPEN_OHMS, taken_on=TODAY)
    make.reading(station=broken, value=OPEN_OHMS, taken_on=TODAY)
    lines = overview(clock)
    assert [line.station for line in lines] == [broken, timer]
    assert [line.needs_a_look for line in lines] == [True, False]
    assert lines[1].judged is not None
    assert lines[1].judged.word == "off the coil: on a timer"
    assert lines[1].deviation is None
