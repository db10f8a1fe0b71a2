"""Rows of one owner never share a day; all else about their days is legal."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.db.migrations.loader import MigrationLoader

from sites.models import Feed, Spell, SpellPart, Station, StationFacts, Stopgap, Tariff
from sites.models.no_overlap import NoOverlap
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def day(number: int) -> date:
    """Return the n-th day of the tests' calendar."""
    return date(2025, 3, 1) + timedelta(days=number)


Days = tuple[date | None, date | None]
Adds = Callable[[Any, date | None, date | None], Any]


def _add_stopgap(station: Any, start: date | None, end: date | None) -> Any:
    return make.stopgap(station=station, on=start, removed_on=end)


def _add_state(controller: Any, start: date | None, end: date | None) -> Any:
    return make.central_state(controller=controller, state="linked", from_on=start, to_on=end)


def _add_facts(station: Any, start: date | None, end: date | None) -> Any:
    return StationFacts.objects.create(station=station, from_on=start, to_on=end)


def _add_tariff(where: Any, start: date | None, end: date | None) -> Any:
    return Tariff.objects.create(property=where, from_on=start, to_on=end)


def _add_feed(station: Any, start: date | None, end: date | None) -> Any:
    wire = make.wire(property=station.controller.property)
    return Feed.objects.create(wire=wire, station=station, from_on=start, to_on=end)


def _add_part(station: Any, start: date | None, end: date | None) -> Any:
    spell = Spell.objects.filter(station=station).first() or Spell.objects.create(
        station=station, from_on=day(0)
    )
    return SpellPart.objects.create(
        spell=spell, station=station, from_on=start, to_on=end, reason="wire"
    )


RULES: dict[str, tuple[Callable[[], Any], Adds]] = {
    "stopgap_off_kinds_never_overlap": (make.station, _add_stopgap),
    "central_states_never_overlap": (make.controller, _add_state),
    "station_facts_never_overlap": (make.station, _add_facts),
    "tariffs_never_overlap": (make.place, _add_tariff),
    "spell_parts_never_overlap": (make.station, _add_part),
    "station_feeds_never_overlap": (make.station, _add_feed),
}
OPEN_START = {"central_states_never_overlap", "station_facts_never_overlap"} | {
    "tariffs_never_overlap",
    "station_feeds_never_overlap",
}
SHARE_A_DAY = [
    pytest.param((day(5), day(6)), id="inside"),
    pytest.param((day(0), day(4)), id="the first day"),
    pytest.param((day(9), day(20)), id="the last day"),
    pytest.param((day(0), day(20)), id="around"),
    pytest.param((day(3), day(10)), id="the same days"),
    pytest.param((day(9), None), id="an open end"),
]


@pytest.fixture(params=sorted(RULES))
def rule(request: pytest.FixtureRequest) -> tuple[str, Any, Adds]:
    """Each rule with an owner that already has a row over days 3 to 10."""
    make_owner, add = RULES[request.param]
    owner = make_owner()
    add(owner, day(3), day(10))
    return request.param, owner, add


@pytest.mark.parametrize("days", SHARE_A_DAY)
def test_refuses_a_row_that_shares(rule: tuple[str, Any, Adds], days: Days) -> None:
    name, owner, add = rule
    with refused_by(name):
        add(owner, *days)


def test_refuses_a_row_moved_onto_another(rule: tuple[str, Any, Adds]) -> None:
    name, owner, add = rule
    row = add(owner, day(10), day(12))
    start = "counted_from" if hasattr(row, "counted_from") else "from_on"
    fitted = {"fitted_latest": day(8), "fitted_earliest": day(8)} if start != "from_on" else {}
    with refused_by(name):
        type(row).objects.filter(pk=row.pk).update(**{start: day(8), **fitted})


def test_touching_rows_are_legal(rule: tuple[str, Any, Adds]) -> None:
    _, owner, add = rule
    before, after = add(owner, day(1), day(3)), add(owner, day(10), day(14))
    assert before.pk != after.pk


def test_the_days_of_another_owner_are_legal(rule: tuple[str, Any, Adds]) -> None:
    name, _, add = rule
    other = RULES[name][0]()
    assert add(other, day(3), day(10)).pk


def test_a_row_may_be_saved_again_unchanged(rule: tuple[str, Any, Adds]) -> None:
    _, owner, add = rule
    row = add(owner, day(10), day(12))
    row.save()
    assert type(row).objects.filter(pk=row.pk).exists()


@pytest.mark.parametrize("name", sorted(OPEN_START))
def test_as_far_back_as_we_know_shares_every_earlier_day(name: str) -> None:
    make_owner, add = RULES[name]
    owner = make_owner()
    add(owner, None, day(3))
    with refused_by(name):
        add(owner, day(-900), day(-899))


def test_two_stopgaps_fitted_and_removed_on_one_day_are_legal_visits() -> None:
    station = make.station()
    make.stopgap(station=station, on=day(3), removed_on=day(10))
    visits = [make.stopgap(station=station, on=day(5), removed_on=day(5)) for _ in range(2)]
    assert station.stopgaps.count() == 1 + len(visits)


def test_facts_of_no_length_are_legal_inside_others() -> None:
    station = make.station()
    _add_facts(station, day(3), day(10))
    _add_facts(station, day(5), day(5))
    assert station.facts.count() == 2


@pytest.mark.parametrize("kind", ["surface wire", "doubled"])
def test_a_stopgap_that_leaves_the_station_on_central_may_stand_beside(kind: str) -> None:
    station = make.station()
    make.stopgap(station=station, on=day(3))
    beside = make.stopgap(station=station, on=day(5), kind=kind)
    assert station.stopgaps.open().count() == 2
    assert list(station.stopgaps.off_central().values_list("pk", flat=True)) != [beside.pk]


def test_a_kind_changed_to_off_central_is_refused_where_days_are_shared() -> None:
    station = make.station()
    make.stopgap(station=station, on=day(3))
    beside = make.stopgap(station=station, on=day(5), kind="doubled")
    beside.kind = "shut off"
    with refused_by("stopgap_off_kinds_never_overlap"):
        beside.save()


def _standing() -> set[str]:
    """Return the names of the rules that the database has."""
    query = (
        "SELECT conname FROM pg_constraint WHERE contype = 'x'"
        if connection.vendor == "postgresql"
        else "SELECT replace(name, '_insert', '') FROM sqlite_master WHERE type = 'trigger' "
        "AND name LIKE '%\\_insert' ESCAPE '\\'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        return {row[0] for row in cursor.fetchall()}


def test_the_rules_stand_in_the_database_after_all_migrations() -> None:
    assert _standing() == set(RULES)


@pytest.mark.parametrize("way", ["database_forwards", "database_backwards"])
@pytest.mark.django_db(transaction=True)
def test_a_migration_that_alters_a_table_repeats_its_rule(way: str) -> None:
    name = "stopgap_off_kinds_never_overlap"
    loader = MigrationLoader(connection)
    first = next(
        operation
        for migration in loader.disk_migrations.values()
        for operation in migration.operations
        if isinstance(operation, NoOverlap) and operation.name == name
    )
    given = {**first.deconstruct()[2], "again": True}
    state = loader.project_state()
    _alter_a_column(Stopgap)
    # SQLite lost the triggers with the table that Django rebuilt.
    assert (name in _standing()) is (connection.vendor == "postgresql")
    for _once in range(2):
        with connection.schema_editor() as editor:
            getattr(NoOverlap(**given), way)("sites", editor, state, state)
        assert _standing() == set(RULES)
    station = make.station()
    make.stopgap(station=station, on=day(3))
    with refused_by(name):
        make.stopgap(station=station, on=day(5))


def _alter_a_column(model: Any) -> None:
    """Alter a column as a migration does, and back."""
    field = model._meta.get_field("end_reason")
    wider = field.clone()
    wider.max_length += 1
    wider.set_attributes_from_name(field.name)
    wider.model = model
    for old, new in ((field, wider), (wider, field)):
        with connection.schema_editor() as editor:
            editor.alter_field(model, old, new)


def test_a_station_moved_to_another_controller_keeps_its_stopgaps() -> None:
    stopgap = make.stopgap(on=day(3))
    Station.objects.filter(pk=stopgap.station_id).update(controller=make.controller())
    assert stopgap.station.stopgaps.get() == stopgap
