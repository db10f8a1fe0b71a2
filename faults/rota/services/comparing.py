"""Which promises the board keeps as it stands, and which a suggested rota keeps."""

from dataclasses import asdict, dataclass, field
from datetime import date, time
from typing import Any

from django.utils.translation import gettext as _

from faults.models import Job
from faults.rota.engines.planning import Plan
from faults.rota.engines.problem import ShiftKey
from faults.rota.services.gathering import Gathered
from faults.rota.services.priorities import counts_as
from sites.templatetags.water import volume_text


@dataclass(frozen=True)
class Broken:
    """A promise that the suggestion does not keep.

    Args:
        job: its reference.
        words: what was promised.
        now: when its visit comes, in words.
        was_kept: whether the board keeps it as it stands.
    """

    job: str
    name: str
    words: str
    now: str
    was_kept: bool


@dataclass
class Promises:
    """How many promises bind in these days, and what becomes of them.

    Args:
        before, after: how many are kept as it stands, and as it is suggested.
        moved: how many of those that are kept get another crew, day or time than they have.
    """

    of: int = 0
    before: int = 0
    after: int = 0
    moved: int = 0
    broken: list[Broken] = field(default_factory=list)


_At = tuple[ShiftKey, time | None]


def promises_of(gathered: Gathered, made: Plan) -> dict[str, Any]:
    """Return the promises of all jobs that were looked at, as the page shows them."""
    found = Promises()
    planned = _planned(gathered, made)
    for key in gathered.last_days():
        job = gathered.jobs[key]
        before = _as_it_stands(gathered, job)
        after = planned.get(key, before)
        found.of += 1
        was_kept = _is_kept(gathered, job, before)
        found.before += was_kept
        if _is_kept(gathered, job, after):
            found.after += 1
            found.moved += before is not None and after != before
        else:
            words = gathered.promised[key].words
            now = _when(gathered, after)
            found.broken.append(Broken(job.ref, job_name(job), words, now, was_kept))
    return asdict(found)


def _planned(gathered: Gathered, made: Plan) -> dict[int, _At]:
    found: dict[int, _At] = {}
    for route in made.routes:
        for key, on_clock in route.stops:
            minute = gathered.by_day(route.shift, on_clock)
            found[key] = (route.shift, time(minute // 60, minute % 60))
    return found


def _as_it_stands(gathered: Gathered, job: Job) -> _At | None:
    shift = gathered.key_of(job)
    return None if shift is None else (shift, job.starts_at)


def _is_kept(gathered: Gathered, job: Job, at: _At | None) -> bool:
    if at is None:
        return False
    shift, starts_at = at
    promised = gathered.promised[job.pk]
    return promised.is_kept(job, gathered.day(shift), starts_at, gathered.on(shift))


def _when(gathered: Gathered, at: _At | None) -> str:
    if at is None:
        return _("no place in these days")
    shift, starts_at = at
    return day_and_time(gathered.day(shift), starts_at)


def day_and_time(day: date, starts_at: time | None) -> str:
    """Write a day and, where there is one, a time."""
    return f"{day.isoformat()} {starts_at:%H:%M}" if starts_at else day.isoformat()


def after_words(gathered: Gathered, made: Plan) -> dict[int, str]:
    """Return for each job that waits for locates which those are, and when they are."""
    planned, found = _planned(gathered, made), {}
    for key in planned:
        inside = gathered.first.inside.get(key, [])
        outside = gathered.first.outside.get(key, [])
        parts = [f"{job_name(first)}, {_when(gathered, planned.get(first.pk))}" for first in inside]
        parts += [f"{job_name(first)}, {first.day.isoformat()}" for first in outside if first.day]
        if parts:
            found[key] = _("comes after %s") % "; ".join(parts)
    return found


def weight_words(gathered: Gathered, job: Job) -> str:
    """Say what leaving a job out weighs, and from what that comes."""
    waiting, parts = gathered.waiting[job.pk], [_("priority %s") % job.priority]
    offer = gathered.proposes(job)
    if counts_as(job, offer) > job.priority:
        parts[0] += " (" + _("weighed as %s, which is proposed") % offer.priority + ")"
    elif offer.priority > job.priority:
        parts[0] += " (" + _("proposed: %s") % offer.priority + ")"
    if job.fault is not None:
        parts.append(_("reported %s days ago") % waiting.days)
    if waiting.gallons_a_day:
        volume = volume_text(waiting.gallons_a_day, job.property)
        parts.append(_("%s too much water a day") % volume)
    if job.pk in gathered.promised:
        parts.append(gathered.promised[job.pk].words)
    task = gathered.problem.by_key.get(job.pk)
    minutes = gathered.weighs(job) if task is None else task.penalty
    return _("Leaving it out weighs %(minutes)d minutes: %(why)s.") % {
        "minutes": minutes,
        "why": ", ".join(parts),
    }


def raised(gathered: Gathered) -> list[dict[str, Any]]:
    """Return the jobs that weigh as what their waiting proposes, as the page shows them."""
    found = []
    for job in gathered.jobs.values():
        offer = gathered.proposes(job)
        if counts_as(job, offer) > job.priority:
            words = {"has": job.priority, "counts_as": offer.priority, "why": offer.why}
            found.append({"job": job.ref, "name": job_name(job), **words})
    return found


def job_name(job: Job) -> str:
    """Return the job with its fault: a property can have several of a kind."""
    return f"{job}, {job.fault}" if job.fault else str(job)
