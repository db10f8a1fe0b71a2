"""When faults are over, by the plan and what the company's own faults took."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from faults.models import Asked, Fault, Job, JobKind, JobState
from faults.promises.engines.promising import Habits, Open, Outlook, chance_too_long, play
from faults.promises.services.habits import SINCE_DAYS, made_on, past_since
from faults.promises.services.parts import Part, is_for
from faults.work.services.defaults import search_time

# What a crew has for one visit at most; where a search's spread is not known, nine of ten visits
# end within so many times what they are expected to take. Both our own choice, no source.
DAY_MIN = 480
NINE_OF_TEN = 1.6


def outlook_of(part: Part, *, at: datetime) -> Outlook:
    """Return when one fault, or a station of it, is over; the spread of its search is worked out
    for it."""
    return outlooks([part], at=at, with_search=True)[part.key]


def outlooks(
    parts: Sequence[Part],
    *,
    at: datetime,
    with_search: bool = False,
    kept: dict[str, Any] | None = None,
) -> dict[tuple[int, int | None], Outlook]:
    """Return when each of these open faults, or stations of them, is over, by their keys; in a few
    queries for all of them.

    Args:
        kept: what a caller keeps between two calls.
    """
    if not parts:
        return {}
    kept = {} if kept is None else kept
    if "habits" not in kept:
        kept["habits"] = habits_of_company(at=at)
    faults = {part.fault.pk for part in parts}
    visits = _visits(faults)
    asked = dict(
        Asked.objects.filter(fault__in=faults, answer="").values_list("fault_id", "asked_on")
    )
    found = {}
    for part in parts:
        fault = part.fault
        today = at.astimezone(ZoneInfo(fault.property.time_zone)).date()
        jobs = [job for job in visits[fault.pk] if is_for(job, part.station)]
        now = _standing(fault, jobs, asked.get(fault.pk), today, with_search=with_search)
        found[part.key] = play(now, kept["habits"], seed=fault.pk * 1000 + today.toordinal())
    return found


def habits_of_company(*, at: datetime) -> Habits:
    """Return what finished faults, planned days and answers of the company took until now."""
    today = at.date()
    # What is recorded today is known too, in every time zone.
    return past_since(today - timedelta(days=SINCE_DAYS)).before(today + timedelta(days=2))


def _visits(faults: Collection[int]) -> dict[int, list[Job]]:
    found = defaultdict(list)
    rows = Job.objects.filter(fault__in=faults).exclude(state=JobState.WITHDRAWN)
    for job in rows.select_related("property").prefetch_related("stations").order_by("day", "pk"):
        assert job.fault_id is not None
        found[job.fault_id].append(job)
    return found


def _standing(
    fault: Fault, jobs: list[Job], asked_on: date | None, today: date, *, with_search: bool
) -> Open:
    over = [made_on(job) for job in jobs if job.state == JobState.DONE and job.ended_at]
    ahead = [job for job in jobs if job.state != JobState.DONE]
    planned = [job for job in ahead if job.day is not None and job.crew_id is not None]
    last = max(planned, key=lambda job: (job.day or today, job.pk), default=None)
    held = [(job.earliest_on - today).days for job in ahead if job.earliest_on is not None]
    return Open(
        waited=max(0, (today - fault.reported_on).days),
        visited=len(over),
        since_visit=max(0, (today - max(over)).days) if over else 0,
        planned_in=max(0, (last.day - today).days) if last and last.day else None,
        not_before=max([0, *held]),
        asked_since=max(0, (today - asked_on).days) if asked_on else None,
        too_long=_too_long(fault, last, today, with_search=with_search) if last else 0.0,
    )


def _too_long(fault: Fault, job: Job, today: date, *, with_search: bool) -> float:
    mean, nine_of_ten = float(job.expected_minutes), job.expected_minutes * NINE_OF_TEN
    search = search_time(JobKind(job.kind), fault, today) if with_search else None
    if search is not None:
        mean, nine_of_ten = float(search.expected), float(search.nine_of_ten)
    return chance_too_long(mean, nine_of_ten, DAY_MIN)
