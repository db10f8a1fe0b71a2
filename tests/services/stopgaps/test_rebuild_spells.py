"""Spells stay equal to what stopgaps, central states and retirements say."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.models import Wait
from sites.kernel.services.verbs import as_one_change
from sites.models import CentralState, Meter, Spell, SpellPart, Station, Stopgap
from sites.stopgaps.services import spells as service
from sites.stopgaps.services.spells import rebuild_spells, spells_from_records
from tests import make
from tests.examples import examples

pytestmark = pytest.mark.django_db

DAY = date(2025, 3, 1)


def day(number: int) -> date:
    """Return the n-th day of the tests' calendar."""
    return DAY + timedelta(days=number)


def stored(station: Station) -> list[tuple[date, date | None]]:
    """Return the station's spells as they stand."""
    rows = Spell.objects.filter(station=station).order_by("from_on")
    return list(rows.values_list("from_on", "to_on"))


def stopped(count: int) -> list[Station]:
    """Return stations off central control, all of whose spells are missing."""
    stations = [make.stopgap(on=DAY).station for _ in range(count)]
    Spell.objects.all().delete()
    return stations


def reasons(station: Station) -> list[str]:
    """Return the reasons of the station's parts in order of days."""
    rows = SpellPart.objects.filter(station=station).order_by("from_on")
    return list(rows.values_list("reason", flat=True))


def test_a_station_that_was_never_off_has_no_spell() -> None:
    station = make.station()
    assert rebuild_spells([station.pk]) == 0
    assert stored(station) == []


def test_an_open_stopgap_opens_a_spell() -> None:
    station = make.stopgap(on=DAY).station
    assert stored(station) == [(DAY, None)]


def test_a_second_rebuild_changes_nothing_and_keeps_the_rows() -> None:
    station = make.stopgap(on=DAY).station
    before = list(SpellPart.objects.values_list("pk", flat=True))
    assert rebuild_spells([station.pk]) == 0
    assert list(SpellPart.objects.values_list("pk", flat=True)) == before


def test_a_stopgap_that_leaves_the_station_on_central_opens_none() -> None:
    station = make.stopgap(kind="surface wire").station
    assert stored(station) == []


def test_a_removed_stopgap_closes_the_spell() -> None:
    stopgap = make.stopgap(on=DAY)
    stopgap.removed_on = day(9)
    stopgap.save()
    assert stored(stopgap.station) == [(DAY, day(9))]


def test_a_lost_link_takes_every_station_of_the_controller_off() -> None:
    clock = make.controller()
    pair = [make.station(controller=clock) for _ in range(2)]
    make.central_state(controller=clock, from_on=DAY, to_on=day(5))
    assert [stored(each) for each in pair] == [[(DAY, day(5))]] * 2
    assert reasons(pair[0]) == ["link lost"]


def test_a_stopgap_inside_a_lost_link_takes_its_days_and_the_spell_stays_one() -> None:
    station = make.stopgap(on=day(2), removed_on=day(4)).station
    make.central_state(controller=station.controller, from_on=DAY, to_on=day(9))
    assert stored(station) == [(DAY, day(9))]
    assert reasons(station) == ["link lost", "wire", "link lost"]


def test_days_not_meant_to_be_linked_are_cut_out() -> None:
    station = make.stopgap(on=DAY).station
    make.central_state(
        controller=station.controller,
        state="not meant to be linked",
        from_on=day(3),
        to_on=day(6),
    )
    assert stored(station) == [(DAY, day(3)), (day(6), None)]


def test_never_meant_to_be_linked_leaves_no_spell() -> None:
    station = make.stopgap(on=DAY).station
    make.central_state(controller=station.controller, state="not meant to be linked", from_on=None)
    assert stored(station) == []


@pytest.mark.parametrize("level", ["station", "controller", "property"])
def test_retiring_it_ends_the_spell_on_that_day(level: str) -> None:
    station = make.stopgap(on=DAY).station
    owners = {
        "station": station,
        "controller": station.controller,
        "property": station.controller.property,
    }
    owners[level].retired_on = day(7)
    owners[level].save()
    assert stored(station) == [(DAY, day(7))]


def test_a_day_of_fitting_in_doubt_makes_the_spell_at_least_that_long() -> None:
    known = make.stopgap(on=DAY).station
    doubted = make.stopgap(fitted_earliest=date(2021, 1, 1), fitted_latest=date(2021, 12, 31))
    seen = make.stopgap(fitted_earliest=None, fitted_latest=None, first_seen_on=DAY)
    exact = dict(Spell.objects.values_list("station_id", "from_is_exact"))
    assert exact == {known.pk: True, doubted.station_id: False, seen.station_id: False}
    assert stored(doubted.station) == [(date(2021, 12, 31), None)]


def test_a_new_station_is_off_from_the_first_day_of_a_link_that_is_lost() -> None:
    clock = make.controller()
    make.central_state(controller=clock, from_on=DAY)
    assert stored(make.station(controller=clock)) == [(DAY, None)]


def test_what_is_deleted_leaves_no_spell() -> None:
    stopgap = make.stopgap(on=DAY)
    state = make.central_state(controller=make.station().controller, from_on=DAY)
    assert Spell.objects.count() == 2
    stopgap.delete()
    state.delete()
    assert Spell.objects.count() == 0


def test_only_the_stations_named_are_touched() -> None:
    named, other = stopped(2)
    rebuild_spells([named.pk])
    assert (len(stored(named)), len(stored(other))) == (1, 0)


def test_what_a_change_touches_is_rebuilt_once_at_its_end() -> None:
    with as_one_change():
        station = make.stopgap(on=DAY, removed_on=day(3)).station
        make.stopgap(station=station, on=day(3))
        assert stored(station) == []
    assert stored(station) == [(DAY, None)]
    assert Wait.objects.filter(station=station).exists()
    assert Meter.objects.filter(spell__station=station).exists()


def test_stations_in_several_chunks_come_out_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(service, "CHUNK", 2)
    stations, said = stopped(5), []
    changed = rebuild_spells(
        (each.pk for each in stations), say=lambda done, total: said.append((done, total))
    )
    assert changed == 5
    assert said == [(0, 5), (2, 5), (4, 5)]
    assert [stored(each) for each in stations] == [[(DAY, None)]] * 5


@pytest.mark.parametrize("count", [3, 30])
def test_the_number_of_queries_does_not_grow(
    count: int, django_assert_max_num_queries: object
) -> None:
    stations = stopped(count)
    # savepoint, stations, states, stopgaps, standing, who was off, spells and parts to delete, two
    # inserts; which programs are told; then what they wait on: savepoint, standing, parts, faults,
    # jobs, one insert; then their water:
    # savepoint, stations, meters, spells, places, climate, prices, schedules, facts, outages,
    # stopgaps, standing rows, and inserts that SQLite takes 80 rows at a time; and for each subject
    # of summaries its properties and its marks, which PostgreSQL locks
    with django_assert_max_num_queries(45):  # type: ignore[operator]
        rebuild_spells([each.pk for each in stations])


EDITS = st.lists(
    st.tuples(
        st.sampled_from(["fit", "remove", "lose link", "link again", "unmeant", "retire", "drop"]),
        st.integers(0, 2),
        st.integers(0, 30),
        st.integers(0, 30),
    ),
    max_size=12,
)


def _edit(stations: list[Station], verb: str, which: int, start: int, end: int) -> None:
    """Do one edit by saving or deleting rows."""
    station = stations[which]
    span = {"from_on": day(start), "to_on": day(start + end + 1)}
    open_ones = Stopgap.objects.filter(station=station, removed_on=None)
    if verb == "fit":
        make.stopgap(station=station, on=day(start), removed_on=day(start + end) if end else None)
    elif verb == "remove":
        for stopgap in open_ones:
            stopgap.removed_on = max(day(end), stopgap.counted_from)
            stopgap.save()
    elif verb == "lose link":
        make.central_state(controller=station.controller, **span)
    elif verb == "unmeant":
        make.central_state(controller=station.controller, state="not meant to be linked", **span)
    elif verb == "link again":
        CentralState.objects.filter(controller=station.controller).delete()
    elif verb == "drop":
        Stopgap.objects.filter(station=station).delete()
    else:
        station.retired_on = day(end) if end else None
        station.save()


def _try_edit(stations: list[Station], edit: tuple[str, int, int, int]) -> None:
    try:
        with transaction.atomic():
            _edit(stations, *edit)
    except IntegrityError:  # the days were taken: the database refused, and nothing changed
        pass


@settings(max_examples=examples(40))
@given(EDITS)
def test_step_by_step_equals_from_scratch(edits: list[tuple[str, int, int, int]]) -> None:
    with transaction.atomic():
        clock = make.controller()
        stations = [make.station(controller=clock), make.station(controller=clock), make.station()]
        for edit in edits:
            _try_edit(stations, edit)
        everything = [each.pk for each in stations]
        by_steps = service._standing(everything)
        from_scratch = spells_from_records(everything)
        for pk in everything:
            assert by_steps.get(pk, []) == service._shape(from_scratch[pk])
        transaction.set_rollback(True)
