"""A load is taken back: the register stands as before, unless something was built on it."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.serializers import serialize
from django.db.models import Model
from django.utils import timezone

from faults.load.services.register import TABLES, load_register
from faults.load.services.taking_back import (
    DERIVED,
    UnableToTakeBack,
    keep_written,
    take_back_load,
)
from faults.models import FollowUp, FollowUpKind
from sites.kernel.engines.roles import Role
from sites.kernel.services.derived import rebuild_derived
from sites.load.services.files import RegisterFile
from sites.models import (
    Controller,
    Grant,
    LoadedRows,
    Property,
    Station,
    Stopgap,
    Upload,
    User,
    Wire,
    WireLeg,
)
from sites.runs.services import Silent
from tests import make
from tests.services.load import BASE, GROUND

pytestmark = pytest.mark.django_db

TODAY = date(2026, 6, 1)
FIRST = """property,client,controller,station,station name,area,timer since
Elm,Elm Trust,A,1,Rose bed,400,2025-02-01
Elm,Elm Trust,A,2,Lawn,900,
"""
# One station changed, one new on the old controller, one of a new property; a stopgap more.
SECOND = """property,client,controller,station,station name,area,timer since
Elm,Elm Trust,A,1,Roses,450,2025-02-01
Elm,Elm Trust,A,2,Lawn,900,2025-03-01
Elm,Elm Trust,A,3,Hedge,,2025-04-01
Oak,Elm Trust,B,1,Drive,120,
"""


@pytest.fixture
def loader() -> User:
    """Who loads."""
    return make.user(Role.OWNER)


def load(by: User, text: str = "", **more: str) -> Upload:
    """Load a list, and keep what it takes to take it back."""
    sheets = {"list": text} | more
    files = [RegisterFile(f"{name}.csv", each.encode()) for name, each in sheets.items() if each]
    upload = Upload.objects.create(filename="list.csv", by=by, at=timezone.now())
    load_register(
        files=files, today=TODAY, by_user_id=by.pk, keep=lambda rows: keep_written(upload, rows)
    )
    return upload


def standing() -> dict[str, Any]:
    """All rows of the register and all that follows from them, without the keys of the latter."""
    rows = {model.__name__: serialize("json", ordered(model)) for model in TABLES}
    return rows | {model.__name__: sorted(map(plain, ordered(model))) for model in DERIVED}


def ordered(model: type[Model]) -> Any:
    return model._default_manager.order_by("pk")


def plain(row: Model) -> str:
    skipped = {"id", "at", "computed_at", "rebuilt_at", "seen_at"}
    fields = [f for f in row._meta.concrete_fields if f.name not in skipped]
    return repr([getattr(row, field.attname) for field in fields])


def wrong_rows() -> dict[str, int]:
    """How many derived rows a rebuild from scratch would change.

    Summaries are left out: one that was touched is made once it is read.
    """
    found: dict[str, int] = {}
    rebuild_derived(at=timezone.now(), say=lambda name, count: found.update({name: count}))
    return {name: count for name, count in found.items() if count and name != "summaries"}


def take_back(upload: Upload) -> None:
    take_back_load(upload=upload, by=upload.by, progress=Silent())


def test_the_register_stands_as_before(loader: User) -> None:
    load(loader, FIRST)
    before = standing()
    upload = load(loader, SECOND)
    assert Station.objects.count() == 4
    assert standing() != before
    take_back(upload)
    assert standing() == before
    assert wrong_rows() == {}
    # What was there meanwhile stays in the history.
    station = Station.objects.get(number=1)
    assert [row.name for row in station.history.order_by("history_id")] == [
        "Rose bed",
        "Roses",
        "Rose bed",
    ]
    assert Station.history.filter(name="Hedge", history_type="-").count() == 1
    with pytest.raises(UnableToTakeBack, match="Nothing of this load is left"):
        take_back(upload)


def test_the_first_load_leaves_nothing(loader: User) -> None:
    before = standing()
    upload = load(loader, FIRST)
    take_back(upload)
    assert standing() == before
    assert not Property.objects.exists()


def test_two_loads_are_taken_back_the_newer_first(loader: User) -> None:
    first, second = load(loader, FIRST), load(loader, SECOND)
    with pytest.raises(UnableToTakeBack) as refusal:
        take_back(first)
    # Its controller got a station since, its stations got other names and stopgaps.
    assert "station: A:1; station facts: A:1" in str(refusal.value)
    assert Station.objects.count() == 4
    take_back(second)
    take_back(first)
    assert not Station.objects.exists()


def test_names_that_swapped_swap_back(loader: User) -> None:
    load(loader, FIRST)
    one, two = Station.objects.order_by("number")
    swapped = f"ref,property code,controller,station number\n{one.ref},Elm,A,2\n{two.ref},Elm,A,1\n"
    before = standing()
    upload = load(loader, stations=swapped)
    assert Station.objects.get(pk=one.pk).number == 2
    take_back(upload)
    assert standing() == before


def test_an_added_row_that_took_the_name_of_a_renamed_one_gives_it_back(loader: User) -> None:
    load(loader, FIRST)
    clock = Controller.objects.get()
    before = standing()
    clocks = f"ref,property code,controller\n{clock.ref},Elm,Old A\n,Elm,A\n"
    upload = load(loader, controllers=clocks)
    assert Controller.objects.get(pk=clock.pk).name == "Old A"
    take_back(upload)
    assert standing() == before


def test_ground_wires_faults_and_breaks_go_and_a_wire_that_was_laid_anew_lies_as_before(
    loader: User,
) -> None:
    ground = {**BASE, **GROUND}
    load(loader, **ground)
    before = standing()
    faults = {
        "faults": "property code,fault key,reported,stations,stage\n"
        "Elm,F1,2025-01-05,A:1;A:2,found\n",
        "breaks": "fault key,leg,feet,from point,found,cause,wires\n"
        "F1,L2,30,V1,2025-01-09,gopher,A-1 hot; A common\n",
        # The common takes another way, which takes rows out and puts others in.
        "wires": "property code,wire,kind,controller,terminal,laid,legs,spliced at\n"
        "Elm,A common,common,A,C,,L1;L3,\n",
    }
    upload = load(loader, **ground | faults)
    rows = set(LoadedRows.objects.filter(upload=upload).values_list("table", "how"))
    assert ("faults.break", "added") in rows
    assert ("sites.wireleg", "removed") in rows
    take_back(upload)
    # Rows that a load took out come back under other keys.
    links = {"WireLeg", "WireAtPoint"}
    for name, rows_before in before.items():
        if name not in links:
            assert standing()[name] == rows_before, name
    common = Wire.objects.get(name="A common")
    assert {str(each.leg) for each in WireLeg.objects.filter(wire=common)} == {"L1", "L2", "L3"}
    assert wrong_rows() == {}


def _rename(upload: Upload) -> None:
    station = Station.objects.get(number=3)
    station.name = "Long hedge"
    station.save()


def _report(upload: Upload) -> None:
    make.fault(Station.objects.get(number=3))


def _remove_stopgap(upload: Upload) -> None:
    stopgap = Stopgap.objects.get(station__number=2)
    stopgap.removed_on = TODAY
    stopgap.save()


def _grant(upload: Upload) -> None:
    Grant.objects.create(
        user=make.user(), role=Role.TECHNICIAN, property=Property.objects.get(code="Oak")
    )


def _note(upload: Upload) -> None:
    place = Property.objects.get(code="Oak")
    FollowUp.objects.create(
        property=place, kind=FollowUpKind.BY_HAND, what="Ring", due_on=TODAY, raised_by=upload.by
    )


@pytest.mark.parametrize(
    ("build", "named"),
    [
        (_rename, "station: A:3"),
        (_report, "A:3"),
        (_remove_stopgap, "stopgap"),
        (_grant, "grant"),
        (_note, "Ring"),
    ],
)
def test_what_was_built_on_it_is_named_and_nothing_changes(
    loader: User, build: Callable[[Upload], None], named: str
) -> None:
    load(loader, FIRST)
    upload = load(loader, SECOND)
    build(upload)
    before = standing()
    with pytest.raises(UnableToTakeBack) as refusal:
        take_back(upload)
    assert named.lower() in str(refusal.value).lower()
    assert standing() == before


def test_what_a_rule_raised_and_nobody_touched_goes_along(loader: User) -> None:
    load(loader, FIRST)
    upload = load(loader, SECOND)
    due = {
        "kind": FollowUpKind.CHECK_UP,
        "due_on": TODAY,
        "property": Property.objects.get(code="Oak"),
    }
    raised = FollowUp.objects.create(**due, cause="rule", ruled_on=TODAY)
    # A day that a person moved is theirs.
    FollowUp.objects.filter(pk=raised.pk).update(due_on=TODAY + timedelta(days=1))
    with pytest.raises(UnableToTakeBack):
        take_back(upload)
    FollowUp.objects.filter(pk=raised.pk).update(due_on=TODAY)
    take_back(upload)
    assert not FollowUp.objects.exists()


def test_a_user_with_narrower_limits_takes_back_nothing_beyond_them(loader: User) -> None:
    load(loader, FIRST)
    upload = load(loader, SECOND)
    Grant.objects.filter(user=loader).delete()
    Grant.objects.create(
        user=loader, role=Role.DISPATCHER, property=Property.objects.get(code="Elm")
    )
    with pytest.raises(UnableToTakeBack, match="not among yours"):
        take_back(User.objects.get(pk=loader.pk) and upload)
    assert Station.objects.count() == 4
