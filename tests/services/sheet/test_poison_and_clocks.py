"""What no database keeps, what cannot be, and clocks that were set meanwhile."""

import json
import os
import re
from datetime import datetime, timedelta
from inspect import getmodule, getsource
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from faults.models import Job, Reading, SheetItem
from faults.sheet.services.inbox import take_in
from faults.sheet.services.storable import DEEPEST, storable
from faults.sheet.services.told import KINDS
from sites.models import User
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.examples import examples
from tests.services.sheet.sending import answers, ohms, send, thing
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
# `.ci/long bodies` draws a thousand, on PostgreSQL.
BODIES = int(os.environ.get("SHEET_BODIES", "0")) or examples(100)


@pytest.fixture
def tessa(cast: Cast) -> User:
    """The technician."""
    return cast.technician


@pytest.fixture
def job(ours: Corner, tessa: User) -> Job:
    """A visit of her crew."""
    return make_jobs.job(fault=ours.fault, crew=make_jobs.crew(tessa), day=make.TODAY)


def _nested(levels: int) -> Any:
    return "deep" if levels == 0 else [_nested(levels - 1)]


POISON = {
    "half an emoji": "walked \ud83d",
    "the other half": "\ude00 walked",
    "NUL": "walked\x00",
    "no number": float("nan"),
    "endless": float("inf"),
    "deep": _nested(60),
    "large": 10**30,
    "long": "x" * 30_000,
}


@pytest.mark.parametrize("value", POISON.values(), ids=POISON)
def test_one_poisoned_thing_is_refused_with_its_reason_and_the_next_is_kept(
    job: Job, tessa: User, value: Any
) -> None:
    bad = thing(job, "reading", kind="ohms", value=30, station=1, notes=value)
    rows = send(tessa, bad, thing(job, "start"))
    assert answers(rows) == ["refused", "accepted"]
    stored = SheetItem.objects.get(pk=bad["id"])
    assert stored.why
    assert stored.job == job
    assert answers(send(tessa, bad)) == ["refused"]


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("9999-12-31T23:59:59-12:00", "refused"),
        ("9999-12-31T23:59:59Z", "refused"),
        ("0001-01-01T00:00:00+14:00", "refused"),
        ("1999-12-31T23:59:59Z", "refused"),
        ("2000-01-01T00:00:00Z", "accepted"),
        ("yesterday", "refused"),
        ("2025-06-15", "refused"),
    ],
)
def test_a_moment_that_cannot_be_refuses_its_own_thing_alone(
    job: Job, tessa: User, words: str, answer: str
) -> None:
    rows = send(tessa, {**ohms(job, 30), "at": words}, thing(job, "start"))
    assert answers(rows) == [answer, "accepted"]


def test_the_page_takes_a_poisoned_batch_as_phones_send_it(job: Job, tessa: User) -> None:
    things = [
        {**thing(job, "dance\ud83d"), "at": "9999-12-31T00:00:00+12:00"},
        thing(job, "start", words=float("inf")),
        thing(job, "start"),
    ]
    body = {"user": f"u{tessa.pk}", "now": make.NOW.isoformat(), "items": things}
    client = signed_in(tessa)
    answer = client.post("/sheet/items/", json.dumps(body), content_type="application/json")
    assert answer.status_code == 200
    assert [each["answer"] for each in answer.json()["answers"]] == [
        "refused",
        "refused",
        "accepted",
    ]
    assert datetime.fromisoformat(answer.json()["stamp"])


def test_what_is_nested_without_end_is_no_mistake_of_ours(tessa: User) -> None:
    deep = "[" * 100_000 + "]" * 100_000
    head = f'"user": "u{tessa.pk}", "now": "{make.NOW.isoformat()}"'
    body = "{" + head + f', "items": [{deep}]' + "}"
    client = signed_in(tessa)
    answer = client.post("/sheet/items/", body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["why"]


def test_a_reading_of_a_kind_that_does_not_exist_is_refused(job: Job, tessa: User) -> None:
    rows = send(tessa, ohms(job, 30, kind="furlongs"), ohms(job, 30))
    assert answers(rows) == ["refused", "accepted"]
    assert Reading.objects.filter(kind="furlongs").count() == 0
    assert "furlongs" in rows[0].why


def _recorded(job: Job, at: datetime, **more: Any) -> dict[str, Any]:
    seen = make.NOW.isoformat()
    return {**ohms(job, 30), "at": at.isoformat(), "seen": seen, **more}


@pytest.mark.parametrize(
    ("before", "answer"),
    [
        (timedelta(minutes=1, seconds=59), "accepted"),
        (timedelta(minutes=2), "accepted"),
        (timedelta(minutes=2, seconds=1), "refused"),
        (2000 * DAY, "refused"),
    ],
)
def test_what_happened_before_its_sheet_was_made_was_recorded_under_a_wrong_clock(
    job: Job, tessa: User, before: timedelta, answer: str
) -> None:
    assert answers(send(tessa, _recorded(job, make.NOW - before))) == [answer]


def test_once_its_day_was_given_it_is_kept_for_that_day(job: Job, tessa: User) -> None:
    (row,) = send(tessa, _recorded(job, make.NOW - 3 * DAY, is_day_sure=True))
    assert (row.answer, row.happened_at) == ("accepted", make.NOW - 3 * DAY)


def test_a_clock_that_is_always_behind_by_as_much_is_still_put_right(job: Job, tessa: User) -> None:
    behind = timedelta(hours=3)
    real = make.NOW + timedelta(hours=1)
    item = _recorded(job, make.NOW + timedelta(minutes=5) - behind)
    batch = {"now": (real - behind).isoformat(), "items": [item]}
    (row,) = take_in(batch=batch, by=tessa, now=real)
    assert (row.answer, row.happened_at) == ("accepted", make.NOW + timedelta(minutes=5))


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=30),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=20,
)


@given(body=st.dictionaries(st.text(st.characters(codec=None), max_size=8), ANYTHING))
def test_what_is_said_to_be_storable_is_strict_json(body: dict[str, Any]) -> None:
    kept, trouble = storable(body)
    text = json.dumps(kept, allow_nan=False)
    assert "\\u0000" not in text
    assert text.encode().decode() == text
    kept_again, nothing = storable(kept)
    assert kept_again == kept
    assert nothing == "" or trouble
    if not trouble:
        assert kept == body


def test_the_deepest_nesting_that_is_kept_is_tested_at_its_edge() -> None:
    assert storable({"a": _nested(DEEPEST - 1)})[1] == ""
    assert storable({"a": _nested(DEEPEST)})[1] != ""


# Every name by which the sheet's code asks for something that a phone says.
ASKED = re.compile(
    r"\.(?:words|number|whole|keys?|many|ticked|day|uuid|get)\(\s*\"([a-z_]+)\"", re.ASCII
)
NAMES = {
    kind: sorted({*ASKED.findall(getsource(getmodule(KINDS[kind].take) or re)), "station"})
    for kind in KINDS
}
# Words that get past first questions, days beyond the edge, and numbers that no column holds.
WORDS = st.sampled_from(
    ["ohms", "volts", "runs", "us", "wire", "2025-06-14", "2025-02-30", "9999-12-31", "1e400", "7"]
)
NUMBERS = st.sampled_from([0, -1, 1, 0.1, 60, 1e9, 2**31, 2**63, -(2**63), 10**18, 10**20])


def test_the_names_that_are_drawn_are_those_of_the_code() -> None:
    assert {"feet_along", "leg", "wires", "valve_opened_and_shut"} <= set(NAMES["found"])
    assert {"value", "station", "temperature"} <= set(NAMES["reading"])
    assert all(len(names) > 3 for names in NAMES.values())


@given(data=st.data(), kind=st.sampled_from(sorted(KINDS)))
@settings(max_examples=BODIES)
def test_any_body_is_answered_and_none_trips_us(
    data: st.DataObject, kind: str, cast: Cast, job: Job
) -> None:
    assert job.fault is not None
    keys = st.sampled_from([job.fault.stations.get().station_id, job.pk])
    value = keys | st.lists(keys, max_size=2) | WORDS | NUMBERS | st.booleans() | ANYTHING
    names = st.lists(st.sampled_from(NAMES[kind]), unique=True, max_size=8)
    body = {name: data.draw(keys if name == "station" else value) for name in data.draw(names)}
    item = {"id": str(uuid4()), "kind": kind, "job": job.ref, "at": make.NOW.isoformat()}
    (row,) = send(cast.owner, {**item, "body": body})
    event(f"{kind}: {row.answer}")
    assert row.answer in {"accepted", "refused", "conflict"}
    assert "mistake of ours" not in row.why
    assert SheetItem.objects.filter(pk=row.pk).exists()
