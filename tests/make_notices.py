"""Make notices, their rules, digs and questions, with defaults that hold."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time
from itertools import count
from typing import Any

from faults.models import (
    Asked,
    ClosedDay,
    ClosedDays,
    Job,
    JobKind,
    Notice,
    NoticeRule,
    OperatorAnswer,
)
from tests import make

# A Monday of a week without holidays, at ten in the morning.
GIVEN = datetime(2025, 6, 2, 10, 0, tzinfo=UTC)

_number = count(1)


def closed_days(*days: date, years: Iterable[int] = (2025, 2026), **given: Any) -> ClosedDays:
    """Make a set that closes these days; 4 July of each year keeps the year listed."""
    kept = ClosedDays.objects.create(**{"name": f"Set {next(_number)}", **given})
    for day in {*days, *(date(year, 7, 4) for year in years)}:
        ClosedDay.objects.create(of=kept, on=day, name="a closed day")
    return kept


def rule(**given: Any) -> NoticeRule:
    """Make a rule that is confirmed: two working days, then ten calendar days from the start."""
    defaults = {
        "region": f"Region {next(_number)}",
        "source_url": "the centre, by phone",
        "wait_n": 2,
        "wait_unit": "working day",
        "day_start": time(7),
        "day_end": time(17),
        "life_n": 10,
        "life_unit": "calendar day",
        "life_from": "start",
        "confirmed_on": date(2025, 1, 2),
        "needs_positive_response": True,
    }
    if "closed_days" not in given:
        given["closed_days"] = closed_days()
    return NoticeRule.objects.create(**{**defaults, **given})


def notice(*operators: str, **given: Any) -> Notice:
    """Make a ticket of a fault, or of the `property` given; its operators have all marked."""
    fault = given.pop("fault", None)
    place = given.pop("property", None) or (fault.property if fault else make.place())
    states = given.pop("states", {})
    defaults = {
        "property": place,
        "fault": fault,
        "ticket": f"T-{next(_number)}",
        "given_at": GIVEN,
        "proposed_start_on": date(2025, 6, 2),
    }
    made = Notice.objects.create(**{**defaults, **given})
    for name in operators:
        state = states.get(name, "marked")
        day = None if state == "waiting" else GIVEN.date()
        OperatorAnswer.objects.create(notice=made, operator=name, state=state, answered_on=day)
    return made


def job(**given: Any) -> Job:
    """Make a locate job of an hour, of a fault or of the `property` given, without a day."""
    fault = given.pop("fault", None)
    place = given.pop("property", None) or (fault.property if fault else make.place())
    defaults = {
        "property": place,
        "fault": fault,
        "kind": JobKind.LOCATE,
        "expected_minutes": 60,
    }
    return Job.objects.create(**{**defaults, **given})


def dig(**given: Any) -> Job:
    """Make a job that digs for an hour."""
    return job(**{"kind": JobKind.DIG, **given})


def asked(**given: Any) -> Asked:
    """Make a question to the client that has no answer yet."""
    fault = given.pop("fault", None) or make.fault()
    defaults = {
        "fault": fault,
        "asked_on": date(2025, 5, 5),
        "asked_of": "Ann",
        "what": "may we dig?",
    }
    return Asked.objects.create(**{**defaults, **given})
