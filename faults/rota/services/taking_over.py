"""Taking a suggested rota over: whole or in part, each job by the verbs that a person would use."""

from collections.abc import Collection
from copy import copy
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from faults.access import crews_for, jobs_for
from faults.models import Crew, Job, JobKind, JobState
from faults.work.services import UnableToSend, assign_job, move_job
from faults.work.services.forerunners import followers, forerunners, is_before, too_soon_words
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
        moves = _moves(suggestion, chosen, by, taken)
        for move in moves:
            try:
                with transaction.atomic():
                    _refuse_before_locate(move, moving={each.job.pk for each in moves})
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


def _refuse_before_locate(move: _Move, *, moving: Collection[int]) -> None:
    """Refuse a place before a job's locate, which may not have been taken over with it, or a
    locate's place behind what waits for it and stays."""
    there = copy(move.job)
    there.crew, there.day, there.starts_at = move.crew, move.day, move.starts_at
    firsts = forerunners([there])[there.pk]
    if words := too_soon_words(there, firsts):
        raise UnableToSend(" ".join(words))
    for second in followers([move.job])[move.job.pk]:
        stays = second.pk not in moving and second.state == JobState.PLANNED
        if stays and is_before(move.job, second) and not is_before(there, second):
            raise UnableToSend(
                _("%(second)s waits for it and would come too soon. Take both over, or neither.")
                % {"second": second}
            )


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
    jobs = {
        job.ref: job
        for job in jobs_for(by, Action.PLAN_JOBS).filter(ref__in=chosen).select_related("fault")
    }
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
    # Locates first: what waits for one is let in only where that has its place.
    return sorted(found, key=lambda move: (move.job.kind != JobKind.LOCATE, move.job.pk))
