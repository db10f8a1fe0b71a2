"""A load writes all or nothing, and asks the database as often for many rows as for few."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.load.services import register
from sites.models import Client, Property, Station
from sites.stopgaps.services import keeping_spells
from tests.services.load import base, check, load, sheet

pytestmark = pytest.mark.django_db


def test_a_load_that_breaks_at_its_very_end_leaves_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def broken(*_given: Any, **_named: Any) -> int:
        raise RuntimeError

    monkeypatch.setattr(keeping_spells, "rebuild_spells", broken)
    text = "property,controller,station,timer since\nElm,A,1,2025-01-02\n"
    with pytest.raises(RuntimeError):
        load(sheet("list", text))
    assert not Station.objects.exists()
    assert not Client.history.exists()


def test_what_somebody_writes_meanwhile_is_seen_before_anything_is_written(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    plan, turns = register.plan_load, []

    def planned(*given: Any, **named: Any) -> Any:
        result = plan(*given, **named)
        if not turns:
            client = Client(name="Elm Trust")
            client.save()
            Property(code="Elm", client=client).save()
        turns.append(1)
        return result

    monkeypatch.setattr(register, "plan_load", planned)
    load(*base())
    assert len(turns) == 2
    assert Property.objects.count() == 1
    assert Station.objects.count() == 2


def _queries(rows: int) -> int:
    text = "property,controller,station,run length,timer since\n" + "".join(
        f"Elm,A,{number},100,2025-01-02\n" for number in range(1, rows + 1)
    )
    with CaptureQueriesContext(connection) as asked:
        check(sheet("list", text))
    return len(asked)


def test_looking_at_many_rows_asks_as_often_as_at_few() -> None:
    load(*base())
    assert _queries(3) == _queries(300)
