"""A wire that read sound leads its station to the proof, and no other does."""

from datetime import timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.models import FaultStation
from faults.readings.services.loops import UnableToLeadHome, lead_home, youngest
from sites.models import Controller, Station, User, Wiring
from tests import make
from tests.services.readings.on_timers import (
    OFF_SINCE,
    TODAY,
    home,
    measured_leg,
    on_timer,
    read,
)

pytestmark = pytest.mark.django_db


def test_leading_home_goes_on_to_the_proof(clock: Controller, person: User) -> None:
    one, two = (on_timer(clock, measured_leg(clock)) for _ in range(2))
    facts = {"by": person, "at": make.NOW, "today": TODAY}
    with pytest.raises(UnableToLeadHome, match="no bring-home test"):
        lead_home(station=one, **facts)
    read(one)
    row = lead_home(station=one, **facts)
    assert (row.stage, row.fault.stage) == (Stage.MENDED, Stage.MENDED)
    assert row.fault.is_outside_the_wire()
    standing = make.fault(two, symptom="open", reported_on=OFF_SINCE)
    read(two)
    kept = lead_home(station=two, **facts)
    assert (kept.fault, kept.stage) == (standing, Stage.MENDED)


def test_one_of_a_fault_of_several_does_not_clear_the_others(
    clock: Controller, person: User
) -> None:
    one, two = (on_timer(clock, measured_leg(clock)) for _ in range(2))
    fault = make.fault(one, two, symptom="open", reported_on=OFF_SINCE)
    facts = {"by": person, "at": make.NOW, "today": TODAY}
    read(one)
    with pytest.raises(UnableToLeadHome, match=f"stops {two} too"):
        lead_home(station=one, **facts)
    fault.refresh_from_db()
    assert not fault.is_outside_the_wire()
    read(two)
    assert lead_home(station=one, **facts).stage == Stage.MENDED
    assert lead_home(station=two, **facts).stage == Stage.MENDED


def test_what_is_on_its_way_already_is_not_led_again(clock: Controller, person: User) -> None:
    station = on_timer(clock, measured_leg(clock))
    read(station)
    facts = {"by": person, "at": make.NOW, "today": TODAY}
    lead_home(station=station, **facts)
    assert home(station).known.is_mended
    with pytest.raises(UnableToLeadHome, match="on its way already"):
        lead_home(station=station, **facts)


def test_a_faded_verdict_leads_nowhere(clock: Controller, person: User) -> None:
    station = on_timer(clock, measured_leg(clock))
    read(station)
    later = TODAY + timedelta(days=90)
    with pytest.raises(UnableToLeadHome):
        lead_home(station=station, by=person, at=make.NOW + timedelta(days=90), today=later)
    assert not FaultStation.objects.filter(station=station).exists()


def test_of_many_the_youngest_are_ranked(clock: Controller) -> None:
    old, young = on_timer(clock), on_timer(clock)
    day = OFF_SINCE - timedelta(days=1)
    old.stopgaps.update(counted_from=day, fitted_earliest=day, fitted_latest=day)
    on_timer(make.controller(wiring=Wiring.TWO_WIRE))
    retired = on_timer(clock)
    Station.objects.filter(pk=retired.pk).update(retired_on=TODAY)
    make.station(controller=clock)
    everything = Station.objects.all()
    assert youngest(everything, most=1) == (2, [young])
    assert youngest(everything, most=9) == (2, [old, young])
    assert youngest(Station.objects.filter(pk=old.pk), most=9) == (1, [old])
