"""Taking a suggested rota over: whole or in part, each job by the verbs that a person would use."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from faults.access import crews_for, jobs_for
from faults.models import Crew, Job
from faults.work.services import assign_job, move_job
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import (
    ChangedMeanwhile,
    UnableToAct,
    as_one_change,
    lock_and_refuse_if_changed,
)
from sites.models import User


@dataclass
class Taken:
    """What came of it.

    Args:
        done: the jobs that have their new place.
        refused: name and reason of those that have not.
    """

    done: list[Job] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)


@dataclass(frozen=True)
class _Move:
    job: Job
    name: str
    stamp: str
    crew: Crew
    day: date
    starts_at: time


def take_over(
    *,
    suggestion: dict[str, Any],
    chosen: Collection[str],
    by: User,
    at: datetime,
    today: date,
) -> Taken:
    """Give the chosen jobs their crews, days and times: all in one transaction.

    A job that has changed since the suggestion was made, or that a guard refuses, stays where it
    is and is named; the others are done.

    Args:
        suggestion: the result of the run.
        chosen: references of jobs.
    """
    taken = Taken()
    with as_one_change():
        for move in _moves(suggestion, chosen, by, taken):
            try:
                with transaction.atomic():
                    _do(move, by=by, at=at, today=today)
            except ChangedMeanwhile:
                words = _(
                    "It has changed since this was planned. Suggest again, or move it on the board."
                )
                taken.refused.append((move.name, words))
            except UnableToAct as refusal:
                taken.refused.append((move.name, str(refusal)))
            else:
                taken.done.append(move.job)
    return taken


def _do(move: _Move, *, by: User, at: datetime, today: date) -> None:
    lock_and_refuse_if_changed([move.job], move.stamp)
    verb = assign_job if move.job.crew_id is None else move_job
    verb(
        job=move.job,
        crew=move.crew,
        day=move.day,
        starts_at=move.starts_at,
        by=by,
        at=at,
        today=today,
    )


def _moves(
    suggestion: dict[str, Any], chosen: Collection[str], by: User, taken: Taken
) -> list[_Move]:
    """Return what is to be done, with rows that this user may plan; in one order everywhere."""
    jobs = {job.ref: job for job in jobs_for(by, Action.PLAN_JOBS).filter(ref__in=chosen)}
    crews = {crew.ref: crew for crew in crews_for(by)}
    found = []
    for route in suggestion["routes"]:
        for stop in route["stops"]:
            if stop["job"] not in chosen or stop["change"] == "stays":
                continue
            job, crew = jobs.get(stop["job"]), crews.get(route["crew"])
            if job is None or crew is None:
                taken.refused.append((stop["name"], _("You may not plan it any more.")))
                continue
            starts_at = time(stop["minute"] // 60, stop["minute"] % 60)
            day = date.fromisoformat(route["day"])
            found.append(_Move(job, stop["name"], stop["stamp"], crew, day, starts_at))
    return sorted(found, key=lambda move: move.job.pk)
