"""Fitting a stopgap on one or several stations, and instead of another."""

from datetime import date

import pytest

from sites.kernel.services.verb_days import UnableToUseDay
from sites.stopgaps.services.stopgap_rules import UnableToFit, UnableToFitBesideAnother
from sites.stopgaps.services.stopgaps import end_stopgaps, fit_instead, fit_stopgap, reopen_stopgap
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, day, history, spells, timer

pytestmark = pytest.mark.django_db


def test_opens_a_spell_and_keeps_who_and_when() -> None:
    station = make.station()
    (fitted,) = fit_stopgap(stations=[station], facts=timer(), today=TODAY)
    assert spells(station) == [(DAY, None)]
    assert history(fitted) == [("+", "")]


def test_one_device_runs_several_valves() -> None:
    clock = make.controller()
    pair = [make.station(controller=clock) for _ in range(2)]
    facts = timer(new_device="T-1", battery_kind="9 V")
    first, second = fit_stopgap(stations=pair, facts=facts, today=TODAY)
    assert first.device is not None
    assert first.device == second.device
    assert (first.device.battery_kind, first.device.battery_changed_on) == ("9 V", DAY)


def test_a_device_of_that_name_is_to_be_chosen_from_the_list() -> None:
    station = make.station()
    make.device(property=station.controller.property, name="T-1")
    with pytest.raises(UnableToFit, match="Choose it from the list"):
        fit_stopgap(stations=[station], facts=timer(new_device="t-1"), today=TODAY)


def test_a_year_is_enough_and_counts_from_its_last_day() -> None:
    station = make.station()
    facts = timer(None, fitted=(date(2021, 1, 1), date(2021, 12, 31)))
    fit_stopgap(stations=[station], facts=facts, today=TODAY)
    assert spells(station) == [(date(2021, 12, 31), None)]


def test_first_seen_is_enough() -> None:
    station = make.station()
    fit_stopgap(stations=[station], facts=timer(None, first_seen_on=DAY), today=TODAY)
    assert spells(station) == [(DAY, None)]


def test_refuses_when_nothing_says_since_when() -> None:
    with pytest.raises(UnableToFit, match="Since when"):
        fit_stopgap(stations=[make.station()], facts=timer(None), today=TODAY)


@pytest.mark.parametrize(
    "facts",
    [timer(date(2025, 6, 16)), timer(None, first_seen_on=date(2025, 6, 16))],
    ids=["fitted", "first seen"],
)
def test_refuses_a_day_that_has_not_come(facts: object) -> None:
    with pytest.raises(UnableToUseDay, match="has not come yet"):
        fit_stopgap(stations=[make.station()], facts=facts, today=TODAY)  # type: ignore[arg-type]


def test_refuses_seen_before_fitted() -> None:
    with pytest.raises(UnableToFit, match="seen before it was fitted"):
        fit_stopgap(stations=[make.station()], facts=timer(day(5), first_seen_on=DAY), today=TODAY)


@pytest.mark.parametrize("kind", ["surface wire", "doubled"])
def test_a_temporary_kind_needs_the_clients_day(kind: str) -> None:
    station = make.station()
    with pytest.raises(UnableToFit) as refusal:
        fit_stopgap(stations=[station], facts=timer(kind=kind), today=TODAY)
    assert refusal.value.field == "accepted_by_client_on"
    accepted = timer(kind=kind, accepted_by_client_on=DAY)
    fit_stopgap(stations=[station], facts=accepted, today=TODAY)
    assert spells(station) == []


def test_agreed_until_belongs_to_the_clients_choice() -> None:
    station = make.station()
    with pytest.raises(UnableToFit, match="client's choice"):
        fit_stopgap(stations=[station], facts=timer(agreed_until=day(90)), today=TODAY)
    facts = timer(agreed_until=day(900), reason="client's choice")
    fit_stopgap(stations=[station], facts=facts, today=TODAY)


def test_only_a_battery_timer_is_a_device() -> None:
    with pytest.raises(UnableToFit, match="Only a battery timer"):
        fit_stopgap(
            stations=[make.station()], facts=timer(kind="by hand", new_device="T"), today=TODAY
        )


def test_refuses_beside_an_open_one_and_says_what_to_do() -> None:
    standing = make.stopgap(on=DAY)
    with pytest.raises(UnableToFitBesideAnother, match=r"still there.*instead"):
        fit_stopgap(stations=[standing.station], facts=timer(day(3)), today=TODAY)


def test_refuses_days_of_an_ended_one() -> None:
    ended = make.stopgap(on=DAY, removed_on=day(9))
    with pytest.raises(UnableToFitBesideAnother, match="2025-03-01 to 2025-03-10"):
        fit_stopgap(stations=[ended.station], facts=timer(day(3)), today=TODAY)


def test_an_ended_one_is_recorded_before_an_open_one() -> None:
    standing = make.stopgap(on=day(9))
    facts = timer(DAY, removed_on=day(9), end_reason="mended")
    fit_stopgap(stations=[standing.station], facts=facts, today=TODAY)
    assert spells(standing.station) == [(DAY, None)]


def test_a_surface_wire_stands_beside_a_timer() -> None:
    standing = make.stopgap(on=DAY)
    facts = timer(day(3), kind="surface wire", accepted_by_client_on=day(3))
    fit_stopgap(stations=[standing.station], facts=facts, today=TODAY)


def test_refuses_stations_of_several_properties() -> None:
    with pytest.raises(UnableToFit, match="several properties"):
        fit_stopgap(stations=[make.station(), make.station()], facts=timer(), today=TODAY)


def test_refuses_no_station_and_a_retired_one() -> None:
    with pytest.raises(UnableToFit, match="at least one"):
        fit_stopgap(stations=[], facts=timer(), today=TODAY)
    with pytest.raises(UnableToFit, match="Bring it back"):
        fit_stopgap(stations=[make.station(retired_on=DAY)], facts=timer(), today=TODAY)


def test_fitted_instead_ends_the_old_on_the_day_of_the_new() -> None:
    old = make.stopgap(on=DAY)
    (new,) = fit_instead(stations=[old.station], facts=timer(day(7), kind="by hand"), today=TODAY)
    old.refresh_from_db()
    assert (old.removed_on, old.end_reason) == (day(7), "replaced by: by hand")
    assert (new.counted_from, new.removed_on) == (day(7), None)
    assert spells(old.station) == [(DAY, None)]


def test_fitted_instead_refuses_a_day_before_the_old_one() -> None:
    old = make.stopgap(on=day(7))
    with pytest.raises(UnableToFit, match="fitted on 2025-03-08"):
        fit_instead(stations=[old.station], facts=timer(DAY), today=TODAY)
    old.refresh_from_db()
    assert old.removed_on is None


def test_fitted_instead_is_undone_by_ending_the_new_and_reopening_the_old() -> None:
    old = make.stopgap(on=DAY)
    (new,) = fit_instead(stations=[old.station], facts=timer(day(7)), today=TODAY)
    end_stopgaps(stopgaps=[new], on=day(7), why="never happened", today=TODAY)
    old.refresh_from_db()
    reopen_stopgap(stopgap=old, why="it still stands")
    assert spells(old.station) == [(DAY, None)]
    assert old.spell_parts.count() == 1


def test_is_undone_by_ending_it_on_the_day_it_was_fitted() -> None:
    station = make.station()
    (fitted,) = fit_stopgap(stations=[station], facts=timer(), today=TODAY)
    end_stopgaps(stopgaps=[fitted], on=DAY, why="wrong station", today=TODAY)
    assert spells(station) == []
