"""Differences with central are settled in one of two ways each, remembered, and taken back."""

from datetime import date, timedelta

import pytest

from sites.kernel.services.verbs import VERBS, UnableToAct
from sites.models import Decision, SpellPart, Station
from sites.reconcile.services.deciding import (
    WAYS,
    UnableToDecide,
    UnableToTakeBack,
    decide,
    take_back,
    ways_for,
)
from tests import make
from tests.services.reconcile.office import (
    AGREED,
    HERE,
    OFF,
    ON,
    THERE,
    Office,
    make_office,
    without,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(db: None) -> Office:
    """The office."""
    return make_office()


def test_ending_the_stopgap_puts_the_register_right(office: Office) -> None:
    central = office.take(*without(1, "Fern Row,A,1,yes"))
    office.settle(central, "ended", on=date(2025, 6, 1))
    office.stopgap.refresh_from_db()
    assert office.stopgap.removed_on == date(2025, 6, 1)
    assert office.differences(central) == {}
    assert SpellPart.objects.get().to_on == date(2025, 6, 1)


def test_the_stopgap_ended_today_unless_another_day_is_said(office: Office) -> None:
    office.settle(office.take(*without(1, "Fern Row,A,1,yes")), "ended")
    office.stopgap.refresh_from_db()
    assert office.stopgap.removed_on == make.TODAY


@pytest.mark.parametrize("on", [make.TODAY + timedelta(days=1), date(2024, 1, 1)])
def test_a_stopgap_does_not_end_on_a_day_that_cannot_be(office: Office, on: date) -> None:
    central = office.take(*without(1, "Fern Row,A,1,yes"))
    with pytest.raises(UnableToAct):
        office.settle(central, "ended", on=on)
    assert not Decision.objects.exists()


def test_ending_can_be_taken_back(office: Office) -> None:
    central = office.take(*without(1, "Fern Row,A,1,yes"))
    take_back(decision=office.settle(central, "ended"), today=make.TODAY)
    office.stopgap.refresh_from_db()
    assert office.stopgap.removed_on is None
    assert office.differences(central) == {"A:1": ON}


def test_to_be_disabled_there_is_noted_on_the_stopgap(office: Office) -> None:
    central = office.take(*without(1, "Fern Row,A,1,yes"))
    decision = office.settle(central, "disable there")
    office.stopgap.refresh_from_db()
    assert office.stopgap.disabled_in_central_on == make.TODAY
    assert office.differences(central) == {}
    take_back(decision=decision, today=make.TODAY)
    office.stopgap.refresh_from_db()
    assert office.stopgap.disabled_in_central_on is None


def test_a_day_that_was_noted_before_stays_when_the_decision_is_taken_back(office: Office) -> None:
    office.stopgap.disabled_in_central_on = date(2025, 1, 2)
    office.stopgap.save()
    central = office.take(*without(1, "Fern Row,A,1,yes"))
    take_back(decision=office.settle(central, "disable there"), today=make.TODAY)
    office.stopgap.refresh_from_db()
    assert office.stopgap.disabled_in_central_on == date(2025, 1, 2)


def test_counting_it_off_fits_a_stopgap_first_seen_today(office: Office) -> None:
    central = office.take(*without(2, "Fern Row,A,2,no"))
    office.settle(central, "held")
    stopgap = office.stations[2].stopgaps.get()
    assert (stopgap.kind, stopgap.first_seen_on, stopgap.reason) == (
        "shut off",
        make.TODAY,
        "not known",
    )
    assert office.stations[2].spell_parts.get().from_on == make.TODAY
    assert office.differences(central) == {}


def test_counting_it_off_can_be_taken_back(office: Office) -> None:
    central = office.take(*without(2, "Fern Row,A,2,no"))
    take_back(decision=office.settle(central, "held"), today=make.TODAY)
    assert not office.stations[2].spell_parts.exists()
    assert office.differences(central) == {"A:2": OFF}


def test_an_unknown_station_can_be_added(office: Office) -> None:
    central = office.take(*AGREED, "Fern Row,A,9,yes")
    decision = office.settle(central, "added")
    station = Station.objects.get(number=9)
    assert station.controller == office.clock
    assert station.history.count() == 1
    take_back(decision=decision, today=make.TODAY)
    station.refresh_from_db()
    assert station.retired_on == make.TODAY
    assert office.differences(central) == {"A:9": HERE}


def test_a_station_of_an_unknown_controller_cannot_be_added(office: Office) -> None:
    central = office.take(*AGREED, "Fern Row,Z,1,yes")
    with pytest.raises(UnableToDecide, match="Add the controller first"):
        office.settle(central, "added")


NOTES = [
    ([*AGREED, "Fern Row,A,9,yes"], "not ours"),
    (without(3), "not meant there"),
    (without(3), "add there"),
    (without(2, "Fern Row,A,2,no"), "enable there"),
]


@pytest.mark.parametrize(("rows", "way"), NOTES)
def test_what_was_decided_is_not_asked_again_by_the_next_list(
    office: Office, rows: list[str], way: str
) -> None:
    office.settle(office.take(*rows), way)
    assert office.differences(office.take(*rows)) == {}


@pytest.mark.parametrize(("rows", "way"), NOTES)
def test_it_is_asked_again_after_a_list_that_agreed_in_between(
    office: Office, rows: list[str], way: str
) -> None:
    office.settle(office.take(*rows), way)
    office.take(*AGREED)
    assert len(office.differences(office.take(*rows))) == 1


@pytest.mark.parametrize(("rows", "way"), NOTES)
def test_a_decision_can_be_taken_back(office: Office, rows: list[str], way: str) -> None:
    central = office.take(*rows)
    take_back(decision=office.settle(central, way), today=make.TODAY)
    assert len(office.differences(central)) == 1


def test_a_different_difference_is_asked_about(office: Office) -> None:
    office.settle(office.take(*without(2, "Fern Row,A,2,no")), "enable there")
    assert office.differences(office.take(*without(2))) == {"A:2": THERE}


def test_a_stopgap_fitted_again_after_one_was_ended_is_asked_about(office: Office) -> None:
    rows = without(1, "Fern Row,A,1,yes")
    central = office.take(*rows)
    office.settle(central, "ended", on=date(2025, 6, 1))
    make.stopgap(station=office.stations[1], on=date(2025, 6, 2))
    assert office.differences(central) == {"A:1": ON}


def test_a_list_of_another_property_forgets_no_decision(office: Office) -> None:
    office.settle(office.take(*without(3)), "not meant there")
    make.station(controller=make.controller(property=make.place(code="Other"), name="B"), number=1)
    office.take("Other,B,1,yes")
    assert Decision.objects.count() == 1


def test_deciding_about_what_is_gone_is_refused(office: Office) -> None:
    with pytest.raises(UnableToDecide, match="meanwhile"):
        decide(lines=[], way="ended", by=office.user, at=make.NOW, today=make.TODAY)


@pytest.mark.parametrize("way", sorted(set(WAYS) - set(ways_for(THERE))))
def test_a_way_that_does_not_fit_is_refused(office: Office, way: str) -> None:
    with pytest.raises(UnableToDecide, match="cannot be settled"):
        office.settle(office.take(*without(3)), way)


def test_all_or_nothing_when_one_of_several_cannot_be_settled(office: Office) -> None:
    central = office.take("Fern Row,A,7,yes", "Fern Row,Z,1,yes", *AGREED)
    with pytest.raises(UnableToDecide):
        office.settle(central, "added")
    assert not Station.objects.filter(number=7).exists()
    assert not Decision.objects.exists()


def test_taking_back_what_cannot_be_undone_is_refused(office: Office) -> None:
    central = office.take(*without(1, "Fern Row,A,1,yes"))
    decision = office.settle(central, "ended", on=date(2025, 6, 1))
    make.stopgap(station=office.stations[1], on=date(2025, 6, 2))
    with pytest.raises(UnableToAct):
        take_back(decision=decision, today=make.TODAY)
    assert Decision.objects.filter(pk=decision.pk).exists()


def test_taking_back_what_is_not_there_any_more_is_refused(office: Office) -> None:
    central = office.take(*without(1, "Fern Row,A,1,yes"))
    decision = office.settle(central, "ended")
    decision.note = "zzzzzzzzzz"
    decision.save()
    with pytest.raises(UnableToTakeBack):
        take_back(decision=decision, today=make.TODAY)


def test_every_difference_has_two_ways_and_each_way_is_of_one() -> None:
    assert {name: len(ways_for(name)) for name in (ON, OFF, HERE, THERE)} == dict.fromkeys(
        (ON, OFF, HERE, THERE), 2
    )


def test_the_verbs_stand_in_the_table() -> None:
    assert {
        "bring the central system's list",
        "decide on differences with central",
        "take back a decision on a difference",
    } <= set(VERBS)
