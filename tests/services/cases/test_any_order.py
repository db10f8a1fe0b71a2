"""Whatever people do in whatever order, the promises about stages and spells hold."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.cases.engines.stages import CLOSED, Stage, find_move, least_advanced
from faults.models import CLOSED_STAGES, Fault, StageMove
from sites.kernel.services.verbs import UnableToAct
from sites.models import SpellPart
from sites.stopgaps.services.spells import spells_from_records
from tests import make
from tests.examples import examples
from tests.services.cases.scene import Scene, make_scene, move, reported

pytestmark = pytest.mark.django_db

# (which stations, the stage wished for, whether a stopgap is fitted first)
WISHES = st.lists(
    st.tuples(st.sampled_from([(0,), (1,), (0, 1)]), st.sampled_from(Stage), st.booleans()),
    min_size=1,
    max_size=14,
)


def _try(scene: Scene, fault: Fault, which: tuple[int, ...], to: Stage) -> None:
    rows = [fault.stations.get(station=scene.stations[i]) for i in which]
    try:
        move(scene, fault, to, *rows, why="as it came")
    except UnableToAct:
        fault.refresh_from_db()


def _fit(scene: Scene) -> None:
    station = scene.stations[0]
    if not station.stopgaps.open().exists():
        make.stopgap(station=station, on=make.TODAY)


def _promises_hold(fault: Fault) -> None:
    stages = [Stage(row.stage) for row in fault.stations.all()]
    assert fault.stage == least_advanced(stages).value
    assert (fault.closed_on is not None) == (fault.stage in CLOSED_STAGES)
    assert all(bool(row.how_returned) == (row.stage == "returned") for row in fault.stations.all())


@settings(max_examples=examples(15))
@given(WISHES)
def test_no_order_of_wishes_leaves_the_table_or_breaks_a_promise(wishes: list[Any]) -> None:
    scene = make_scene(warranty_days=365)
    fault = reported(scene)
    for which, to, fits in wishes:
        if fits:
            _fit(scene)
        _try(scene, fault, which, to)
        _promises_hold(fault)
    _every_kept_move_is_in_the_table(fault)
    _spells_are_as_the_records_say(scene)


def _every_kept_move_is_in_the_table(fault: Fault) -> None:
    for row in fault.stations.all():
        here = ""
        for kept in StageMove.objects.filter(fault_station=row).order_by("pk"):
            assert kept.from_stage == here
            assert not here or find_move(Stage(here), Stage(kept.to_stage))
            here = kept.to_stage
        assert here == row.stage


def _spells_are_as_the_records_say(scene: Scene) -> None:
    ids = [station.pk for station in scene.stations]
    wanted = spells_from_records(ids)
    for pk in ids:
        kept = list(SpellPart.objects.filter(station=pk).order_by("from_on"))
        asked = [part for spell in wanted[pk] for part in spell.parts]
        assert [(part.from_on, part.to_on) for part in kept] == [
            (part.days.from_on, part.days.to_on) for part in asked
        ]
        ends = [part.to_on for part in kept[:-1]]
        assert all(end and end <= after.from_on for end, after in zip(ends, kept[1:], strict=True))


@settings(max_examples=examples(10))
@given(st.permutations([*Stage, Stage.FOUND, Stage.REPORTED]))
def test_a_closed_fault_holds_nobody(order: list[Stage]) -> None:
    scene = make_scene(warranty_days=365)
    fault = reported(scene)
    for to in order:
        _try(scene, fault, (0, 1), to)
    if Stage(fault.stage) in CLOSED:
        assert not fault.assignments.filter(to_on__isnull=True).exists()
