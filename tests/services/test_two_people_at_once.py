"""Two people act on what they opened long ago: neither undoes what the other changed.

Each act below changes one thing by its verb. The row that it is given was read before all acts,
as an old page, a stale phone item or an empty stamp would have it.
"""

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest
from django.db import connections
from django.db.models import Model
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from faults.models import Job, JobKind
from faults.work.services import hold_job, load_vehicle
from faults.work.services.soaking import note_soak
from sites.ground.services.points import retire_point
from sites.kernel.services.verbs import UnableToAct
from sites.models import Point, Property, Stopgap
from sites.register.services.property_facts import set_warranty
from sites.stopgaps.services.stopgaps import end_stopgaps, note_on_stopgap, say_main_valve
from sites.water.services.tables import choose_climate_table
from tests import make, make_jobs
from tests.examples import examples

DAY = date(2025, 6, 10)


@dataclass(frozen=True)
class Act:
    """A verb on one row, and the columns that it leaves behind."""

    table: type[Model]
    do: Callable[[Any], object]
    leaves: dict[str, Any]


def _note(gap: Stopgap) -> None:
    note_on_stopgap(
        stopgap=gap,
        disabled_in_central_on=DAY,
        accepted_by_client_on=None,
        agreed_until=None,
        notes="by the gate",
        today=make.TODAY,
    )


def _end(gap: Stopgap) -> None:
    end_stopgaps(stopgaps=[gap], on=DAY, why="mended", today=make.TODAY)


def _soak(job: Job) -> None:
    note_soak(job=job, soaked_on=DAY, rod_depth_in=None, today=make.TODAY)


def _hold(job: Job) -> None:
    hold_job(job=job, held_for="parts", since=DAY, today=make.TODAY)


ACTS = (
    Act(Stopgap, _note, {"notes": "by the gate", "disabled_in_central_on": DAY}),
    Act(Stopgap, _end, {"removed_on": DAY}),
    Act(
        Stopgap,
        lambda gap: say_main_valve(stopgaps=[gap], main_valve="held open"),
        {"main_valve": "held open"},
    ),
    Act(Job, _hold, {"held_for": "parts", "held_since": DAY}),
    Act(
        Job,
        lambda job: load_vehicle(job=job, parts_ready=True, batteries_ready=False),
        {"parts_ready": True},
    ),
    Act(Job, _soak, {"soaked_on": DAY}),
    Act(Property, lambda place: set_warranty(place=place, days=30), {"warranty_days": 30}),
    Act(
        Property,
        lambda place: choose_climate_table(place=place, name=""),
        {"climate_table": ""},
    ),
)


def rows() -> dict[type[Model], Model]:
    """Make one row for each table."""
    main = make.station(kind="master valve")
    station = make.station(controller=main.controller, depends_on=main)
    place = station.controller.property
    place.climate_table = "valley"
    place.save()
    return {
        Stopgap: make.stopgap(station=station, on=date(2025, 1, 1)),
        Job: make_jobs.job(fault=make.fault(station), kind=JobKind.DIG, expected_minutes=60),
        Property: place,
    }


def stale(row: Model) -> Model:
    """Return the row as a page that was opened now would hold it."""
    return type(row)._base_manager.get(pk=row.pk)


def left(row: Model, acts: Sequence[Act]) -> dict[str, Any]:
    """Return what the database holds of the columns that these acts leave behind."""
    held = stale(row)
    return {name: getattr(held, name) for act in acts for name in act.leaves}


class OldPages(TestCase):
    """Pages that were opened before anything happened are sent one after the other."""

    @given(order=st.permutations(ACTS))
    @settings(max_examples=examples(25))
    def test_whatever_the_order_every_change_stays(self, order: list[Act]) -> None:
        made = rows()
        opened = [(act, stale(made[act.table])) for act in order]
        for act, row in opened:
            act.do(row)
        for table, row in made.items():
            acts = [act for act in order if act.table is table]
            wanted = {name: value for act in acts for name, value in act.leaves.items()}
            assert left(row, acts) == wanted


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("table", [Stopgap, Job])
def test_at_the_same_moment_every_change_stays(table: type[Model]) -> None:
    row = rows()[table]
    acts = [act for act in ACTS if act.table is table]
    ready = threading.Barrier(len(acts))
    problems: list[BaseException] = []

    def send(act: Act, opened: Model) -> None:
        try:
            ready.wait(timeout=30)
            act.do(opened)
        except BaseException as problem:
            problems.append(problem)
        finally:
            connections.close_all()

    people = [threading.Thread(target=send, args=(act, stale(row))) for act in acts]
    for person in people:
        person.start()
    for person in people:
        person.join(timeout=60)
    assert problems == []
    assert left(row, acts) == {name: value for act in acts for name, value in act.leaves.items()}


@pytest.mark.django_db
def test_what_the_verb_refuses_is_judged_on_what_holds_now() -> None:
    gap = rows()[Stopgap]
    first, second = stale(gap), stale(gap)
    _end(first)  # type: ignore[arg-type]
    with pytest.raises(UnableToAct, match="taken away on 2025-06-10 already"):
        _end(second)  # type: ignore[arg-type]


@pytest.mark.django_db
def test_a_row_that_is_gone_is_said_in_words() -> None:
    place = make.place()
    Property.objects.filter(pk=place.pk).delete()
    with pytest.raises(UnableToAct, match="no longer there"):
        set_warranty(place=place, days=3)


@pytest.mark.django_db
def test_the_callers_own_row_holds_what_the_database_holds() -> None:
    point = make.point()
    opened = Point.objects.get(pk=point.pk)
    point.notes = "under the hedge"
    point.save()
    retire_point(point=opened, on=DAY, why="gone", today=make.TODAY)
    assert (opened.notes, opened.retired_on) == ("under the hedge", DAY)
