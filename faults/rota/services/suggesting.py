"""A suggested rota: made in the background, shown beside today's plan."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone, translation
from django.utils.translation import gettext as _

from faults.models import Crew
from faults.rota.engines.keeping import plan_keeping
from faults.rota.engines.planning import Plan
from faults.rota.engines.problem import ShiftKey
from faults.rota.engines.reasons import reasons
from faults.rota.engines.routes import driving_of
from faults.rota.services.comparing import (
    after_words,
    day_and_time,
    job_name,
    promises_of,
    raised,
    weight_words,
)
from faults.rota.services.gathering import Gathered, gather
from faults.rota.services.overtime import of_route, overtime_of, there_now
from faults.rota.services.words import in_words
from faults.rota.services.working_time import Asked
from sites.kernel.services.verbs import stamps_of
from sites.models import Run, User
from sites.runs.services import Progress, UnableToFinish, start_run

SUGGEST = "suggest a rota"
SECONDS = 20.0


@dataclass(frozen=True)
class Stop:
    """One job of a suggested day.

    Args:
        job: its reference.
        stamp: the state of it that the plan was made from.
        minute: of the day, at which it starts.
        change: "stays", "new" (from the tray), "moved", or "time": it had a crew and a day, but no
            time yet.
        before: crew, day and time that it had, in words; empty for a job of the tray.
        promised: what was promised of it, in words; empty where nothing was.
        after: which locates it waits for, and when those are, in words; empty = for none.
    """

    job: str
    name: str
    place: str
    stamp: str
    minute: int
    minutes: int
    change: str
    before: str
    promised: str
    after: str


def start_suggestion(*, asked: Asked, by: User, at: datetime) -> Run:
    """Plan in the background; return the run that carries the suggestion."""
    return start_run(
        service=SUGGEST,
        title=_("Suggest a rota"),
        by=by,
        at=at,
        arguments={
            "user_id": by.pk,
            "days": [day.isoformat() for day in asked.days],
            "crews": [crew.pk for crew in asked.crews],
            "may_move": asked.may_move,
        },
    )


def suggest_in_background(
    progress: Progress,
    *,
    user_id: int,
    days: Sequence[str],
    crews: Sequence[int],
    may_move: bool,
    **later: Any,
) -> dict[str, Any]:
    """Return the suggestion as its page shows it."""
    user = User.objects.get(pk=user_id)
    by_key = Crew.objects.in_bulk(crews)
    asked = Asked(
        tuple(date.fromisoformat(day) for day in days),
        tuple(by_key[key] for key in crews if key in by_key),
        may_move,
    )
    with translation.override(user.language), timezone.override(ZoneInfo(user.time_zone)):
        return suggest(progress, user=user, asked=asked, now=timezone.localtime())


def suggest(progress: Progress, *, user: User, asked: Asked, now: datetime) -> dict[str, Any]:
    """Plan, and say what it changes, what it leaves out and why.

    Raises:
        UnableToFinish: nothing can be planned there.
    """
    progress.say(_("Reading jobs, crews and days"))
    gathered = gather(user, asked, now=now)
    if not gathered.problem.shifts and not gathered.too_full:
        raise UnableToFinish(
            _(
                "None of these crews works on these days, or they have nobody in them. Choose "
                "other days, or look at Crews."
            )
        )
    words = _("Looking for the best plan for %s jobs") % len(gathered.problem.tasks)
    kept = plan_keeping(
        gathered.problem,
        gathered.last_days(),
        seconds=SECONDS,
        go_on=lambda: progress.say(words),
    )
    gathered.problem = kept.problem
    return _as_page(gathered, kept.plan)


def _as_page(gathered: Gathered, made: Plan) -> dict[str, Any]:
    return {
        "days": [day.isoformat() for day in gathered.asked.days],
        "crews": [str(crew) for crew in gathered.asked.crews],
        "may_move": gathered.asked.may_move,
        "status": made.status.value,
        "gap": round(made.gap, 4),
        "before": _before(gathered),
        "after": {"driving": made.driving, "jobs": sum(len(r.stops) for r in made.routes)},
        "promises": promises_of(gathered, made),
        "overtime": overtime_of(gathered, made),
        "routes": _routes(gathered, made),
        "raised": raised(gathered),
        "left_out": _left_out(gathered, made),
        "too_full": [shift_words(gathered, key) for key in gathered.too_full],
        "without_place": sorted(gathered.without_place),
        "beyond": gathered.beyond,
    }


def _before(gathered: Gathered) -> dict[str, int]:
    """Return the driving and the jobs of the plan as it stands, on the shifts that are planned."""
    driving = jobs = 0
    for shift in gathered.problem.shifts:
        there = there_now(gathered, shift)
        driving += driving_of(gathered.problem, shift, [job.pk for job in there])
        jobs += len(there)
    return {"driving": driving, "jobs": jobs}


def _routes(gathered: Gathered, made: Plan) -> list[dict[str, Any]]:
    stamps, after = stamps_of(list(gathered.jobs.values())), after_words(gathered, made)
    found = []
    for route in made.routes:
        stops = [
            _stop(gathered, route.shift, key, minute, stamps[key], after.get(key, ""))
            for key, minute in route.stops
        ]
        found.append(
            {
                "crew": gathered.crew(route.shift).ref,
                "crew_name": str(gathered.crew(route.shift)),
                "day": gathered.day(route.shift).isoformat(),
                "driving": route.driving,
                **of_route(gathered, route),
                "stops": [asdict(stop) for stop in stops],
            }
        )
    return sorted(found, key=lambda each: (each["day"], each["crew_name"]))


def _stop(
    gathered: Gathered, shift: ShiftKey, key: int, minute: int, stamp: str, after: str
) -> Stop:
    job, minute = gathered.jobs[key], gathered.by_day(shift, minute)
    at = gathered.key_of(job)
    start = job.starts_at and job.starts_at.hour * 60 + job.starts_at.minute
    if job.crew is None or job.day is None:
        change = "new"
    elif at != shift:
        change = "moved"
    elif start != minute and gathered.problem.by_key[key].locked is None:
        change = "time"
    else:
        change = "stays"
    before = ""
    if job.crew is not None and job.day is not None:
        before = f"{job.crew}, {day_and_time(job.day, job.starts_at)}"
    return Stop(
        job.ref,
        job_name(job),
        job.property.name,
        stamp,
        minute,
        job.expected_minutes,
        change,
        before,
        gathered.promised[key].words if key in gathered.promised else "",
        after,
    )


def _left_out(gathered: Gathered, made: Plan) -> list[dict[str, str]]:
    found = []
    for reason in reasons(gathered.problem, made):
        job = gathered.jobs[reason.key]
        why = gathered.barred.get(reason.key) or in_words(
            reason,
            gathered.problem,
            job=lambda key: job_name(gathered.jobs[key]),
            shift=lambda key: shift_words(gathered, key),
        )
        stays = f"{job.crew}, {job.day.isoformat()}" if job.crew and job.day else ""
        found.append(
            {
                "job": job.ref,
                "name": job_name(job),
                "place": job.property.name,
                "why": why,
                "weighs": weight_words(gathered, job),
                "stays": stays if gathered.key_of(job) else "",
            }
        )
    return found


def shift_words(gathered: Gathered, key: ShiftKey) -> str:
    """Return the crew and the day of a shift."""
    return f"{gathered.crew(key)}, {gathered.day(key).isoformat()}"
