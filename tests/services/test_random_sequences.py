"""Whatever people do in whatever order: days never overlap, spells stay what they should be."""

from collections.abc import Callable
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest
from django.db import transaction
from django.db.models import Count
from hypothesis import given, settings
from hypothesis import strategies as st

from sites.kernel.services.verbs import UnableToAct
from sites.models import OFF_CENTRAL_KINDS, CentralState, Controller, SpellPart, Station, Stopgap
from sites.register.services import central, retire
from sites.register.services.register import add_controller
from sites.stopgaps.services import spells as service
from sites.stopgaps.services import stopgaps
from sites.stopgaps.services.stopgaps import facts_of
from sites.wires.services import doubling
from tests import make
from tests.examples import examples
from tests.services.stopgaps.given import day, timer
from tests.services.yard import make_yard

pytestmark = pytest.mark.django_db

LATE = date(2026, 1, 1)
KINDS = ["battery timer", "shut off", "surface wire"]
STATES = ["linked", "link lost", "not known", "not meant to be linked"]
STEP = st.tuples(
    st.sampled_from(
        [
            *("fit", "fit past", "instead", "end", "reopen", "correct", "note", "link", "relink"),
            *("go", "back", "double", "undo doubling", "add controller"),
        ]
    ),
    st.integers(0, 2),
    st.integers(0, 25),
    st.integers(0, 25),
    st.integers(0, 3),
)
Step = tuple[str, int, int, int, int]


def latest(stations: list[Station], **wanted: Any) -> Stopgap:
    """Return the latest stopgap of that sort; refuse as a page would, where there is none.

    Any station will do, so that ends and reopenings happen about as often as fittings.
    """
    found = Stopgap.objects.filter(station__in=stations, **wanted).order_by("pk").last()
    if found is None:
        raise UnableToAct("none")
    return found


def facts(start: int, which: int, **other: Any) -> Any:
    """Return a stopgap of one of three kinds."""
    return timer(day(start), kind=KINDS[which % 3], accepted_by_client_on=day(0), **other)


def levels_of(station: Station) -> list[tuple[Any, str, Any, Any]]:
    """Return what can be retired around a station, each with its two verbs."""
    clock, place = station.controller, station.controller.property
    return [
        (station, "station", retire.retire_station, retire.bring_station_back),
        (clock, "controller", retire.retire_controller, retire.bring_controller_back),
        (place, "place", retire.retire_property, retire.bring_property_back),
    ]


def act(stations: list[Station], step: Step) -> None:
    """Do one step through its verb."""
    name, owner, start, end, which = step
    station = stations[owner]
    clock = station.controller
    row, word, go, _ = levels_of(station)[which % 3]
    day_given = {"on": day(start), "why": "x", "today": LATE}
    steps: dict[str, Callable[[], object]] = {
        "fit": lambda: stopgaps.fit_stopgap(
            stations=stations[owner:2] or [station], facts=facts(start, which), today=LATE
        ),
        "fit past": lambda: stopgaps.fit_stopgap(
            stations=[station],
            facts=facts(start, which, removed_on=day(start + end)),
            today=LATE,
        ),
        "instead": lambda: stopgaps.fit_instead(
            stations=[station], facts=facts(start, which), today=LATE
        ),
        "end": lambda: _end(latest(stations, removed_on=None), end),
        "reopen": lambda: stopgaps.reopen_stopgap(
            stopgap=latest(stations, removed_on__isnull=False), why="x"
        ),
        "correct": lambda: _correct(latest(stations), start, which),
        "link": lambda: central.change_link(
            controller=clock, state=STATES[which], on=day(start), today=LATE
        ),
        "relink": lambda: central.correct_link(controller=clock, state=STATES[which], **day_given),
        "go": lambda: go(**{word: row}, **day_given),
        "back": lambda: _bring_back(stations),
        "note": lambda: _note(latest(stations)),
        "double": lambda: doubling.double_stations(
            station=station,
            neighbour=stations[1 - owner % 2],
            on=day(start),
            accepted_by_client_on=day(0),
            today=LATE,
        ),
        "undo doubling": lambda: doubling.undo_doubling(
            station=station, on=day(start + end), today=LATE
        ),
        "add controller": lambda: add_controller(
            controller=Controller(
                property=clock.property,
                name=f"New {Controller.objects.count()}",
                central=STATES[which],
            ),
            stations=2,
            since=day(start),
        ),
    }
    steps[name]()


def _end(stopgap: Stopgap, later: int) -> None:
    """End it some days after it was fitted, or a few days too early, which is refused."""
    on = stopgap.counted_from + timedelta(days=later - 3)
    stopgaps.end_stopgaps(stopgaps=[stopgap], on=on, why="x", today=LATE)


def _bring_back(stations: list[Station]) -> None:
    """Bring back what is retired, from above; where nothing is, be refused."""
    levels = [level for each in stations for level in levels_of(each)[::-1]]
    row, word, _go, come_back = next((level for level in levels if level[0].retired_on), levels[0])
    come_back(**{word: row}, why="x")


def _note(stopgap: Stopgap) -> None:
    stopgaps.note_on_stopgap(
        stopgap=stopgap,
        disabled_in_central_on=stopgap.counted_from,
        accepted_by_client_on=day(0),
        agreed_until=None,
        notes="x",
        today=LATE,
    )


def _correct(stopgap: Stopgap, start: int, which: int) -> None:
    put_right = facts_of(
        stopgap,
        kind=KINDS[which % 3],
        fitted=(day(start), day(start)),
        accepted_by_client_on=day(0),
    )
    stopgaps.correct_stopgap(stopgap=stopgap, facts=put_right, why="x", today=LATE)


def register() -> list[Station]:
    """Make two stations on one controller, each on a wire, and one on another."""
    yard = make_yard()
    other = make.controller(property=yard.place)
    return [yard.first, yard.second, make.station(controller=other)]


def assert_days_never_overlap(rows: list[tuple[date | None, date | None]]) -> None:
    """Hold that no day lies in two of the intervals."""
    long = [(a or date.min, b or date.max) for a, b in rows if a != b]
    ordered = sorted(long)
    for (_start, end), (following, _end) in pairwise(ordered):
        assert end <= following


def assert_all_holds(stations: list[Station]) -> None:
    """Hold no overlap, spells as from scratch, and reasons that add up to the total."""
    for station in stations:
        off = Stopgap.objects.filter(station=station, kind__in=OFF_CENTRAL_KINDS)
        assert_days_never_overlap(list(off.values_list("counted_from", "removed_on")))
        states = CentralState.objects.filter(controller=station.controller_id)
        assert_days_never_overlap(list(states.values_list("from_on", "to_on")))
        open_state = states.filter(to_on=None).first()
        station.controller.refresh_from_db()
        assert open_state is None or open_state.state == station.controller.central
    pks = list(Station.objects.values_list("pk", flat=True))
    standing, scratch = service._standing(pks), service.spells_from_records(pks)
    assert all(standing.get(pk, []) == service._shape(scratch[pk]) for pk in pks)
    for number in range(-2, 53, 3):
        parts = SpellPart.objects.on(day(number)).filter(station__in=pks)
        by_reason = parts.order_by().values("reason").annotate(n=Count("pk"))
        off_now = sum(any(spell.days.holds(day(number)) for spell in scratch[pk]) for pk in pks)
        assert sum(row["n"] for row in by_reason) == off_now


@settings(max_examples=examples(60))
@given(st.lists(STEP, min_size=6, max_size=18))
def test_every_sequence_of_verbs_keeps_the_promises(steps: list[Step]) -> None:
    with transaction.atomic():
        stations = register()
        for step in steps:
            try:
                with transaction.atomic():
                    act([Station.objects.get(pk=each.pk) for each in stations], step)
            except UnableToAct:
                continue
        assert_all_holds(stations)
        transaction.set_rollback(True)


@settings(max_examples=examples(25))
@given(st.lists(STEP, min_size=4, max_size=10))
def test_a_refused_step_changes_nothing(steps: list[Step]) -> None:
    with transaction.atomic():
        stations = register()
        for step in steps:
            before = list(Stopgap.history.values_list("history_id", flat=True))
            try:
                with transaction.atomic():
                    act([Station.objects.get(pk=each.pk) for each in stations], step)
            except UnableToAct:
                assert list(Stopgap.history.values_list("history_id", flat=True)) == before
        transaction.set_rollback(True)
