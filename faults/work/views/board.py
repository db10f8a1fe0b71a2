"""The board: crews by days. Plain links and forms; a script adds picking up and dropping."""

from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from faults.access import jobs_for
from faults.cases.views.common import posted, today_at
from faults.models import Job
from faults.work.forms.board import MoveOnBoardForm, SplitOnBoardForm
from faults.work.services import assign_job, lock_job, move_job, split_job, unassign_job, unlock_job
from faults.work.services.board import board_of, days_of_week
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


@page_for(Action.SEE_WORK)
def board(request: SignedInRequest) -> HttpResponse:
    """A week of all crews, or one day, or one crew; and the tray."""
    today = timezone.localdate()
    shown = _day(request, today)
    is_day, only = request.GET.get("view") == "day", request.GET.get("crew", "")
    days = [shown] if is_day else days_of_week(shown)
    step = timedelta(days=1 if is_day else 7)
    context = {
        "board": board_of(request.user, days=days, today=today, only=only),
        "only": only,
        "today": today,
        "shown": shown,
        "is_day": is_day,
        "earlier": _query(shown - step, is_day, only),
        "later": _query(shown + step, is_day, only),
        "this": _query(today, is_day, only),
        "other": _query(shown, not is_day, only),
        "here": _query(shown, is_day, only),
    }
    return render(request, "faults/moves/board.html", context)


def _day(request: HttpRequest, today: date) -> date:
    """The requested day; what is no day, or too far off for a calendar, is today."""
    try:
        day = parse_date(request.GET.get("day", "")) or today
    except ValueError:
        return today
    return day if 2000 <= day.year <= 2200 else today


def _query(day: date, is_day: bool, crew: str) -> str:
    asked = {"day": day.isoformat(), "view": "day" if is_day else "week", "crew": crew}
    return urlencode({name: value for name, value in asked.items() if value})


def _back(request: HttpRequest) -> str:
    """The board as it was left: its day, its view and its crew stand in the address."""
    kept = {name: request.GET[name] for name in ("day", "view", "crew") if request.GET.get(name)}
    return f"{reverse('faults:board')}?{urlencode(kept)}" if kept else reverse("faults:board")


def _job(request: SignedInRequest, ref: str) -> Job:
    jobs = jobs_for(request.user, Action.PLAN_JOBS).select_related("property", "crew", "fault")
    return find(jobs, ref=ref)


def _page(request: HttpRequest, job: Job, words: str, act: Any, **more: Any) -> VerbPage:
    back = _back(request)
    return VerbPage(
        heading=f"{job}: {words}",
        button=words,
        back=back,
        watched=[job],
        act=act,
        crumbs=[(reverse("faults:moves"), _("Moves")), (back, _("Crews and days"))],
        **more,
    )


@page_for(Action.PLAN_JOBS)
def board_move(request: SignedInRequest, ref: str) -> HttpResponse:
    """Send a crew, send another, or put the job back into the tray."""
    job = _job(request, ref)
    form = MoveOnBoardForm(
        posted(request), job=job, user=request.user, to_tray="tray" in request.GET
    )

    def act(data: dict[str, Any]) -> str:
        _send(request, job, form, data)
        return _words(job)

    return verb_page(request, form, _page(request, job, _("Move to…"), act, lead=_lead(job)))


def _send(request: SignedInRequest, job: Job, form: MoveOnBoardForm, data: dict[str, Any]) -> None:
    """One call: which verb it is follows from where the job lies and where it goes."""
    crew, today = form.chosen_crew(), today_at(job.property)
    how: dict[str, Any] = {"by": request.user, "at": timezone.now(), "today": today}
    if crew is None:
        unassign_job(job=job, why=data["why"], **how)
        return
    send = assign_job if job.crew_id is None else move_job
    send(
        job=job,
        crew=crew,
        day=data["day"],
        starts_at=data["starts_at"],
        why=data["why"],
        **how,
    )


def _words(job: Job) -> str:
    if job.crew is None or job.day is None:
        return _("%s lies in the tray.") % job
    words = {"job": job, "crew": job.crew, "day": job.day.isoformat()}
    if job.starts_at is None:
        return _("%(job)s: %(crew)s, %(day)s.") % words
    return _("%(job)s: %(crew)s, %(day)s at %(start)s.") % {
        **words,
        "start": job.starts_at.strftime("%H:%M"),
    }


def _lead(job: Job) -> str:
    words = [_("%s min.") % job.expected_minutes, _("Skill %s.") % job.skill_needed]
    if job.earliest_on:
        words.append(_("Not before %s.") % job.earliest_on.isoformat())
    if job.due_on:
        words.append(_("Not after %s.") % job.due_on.isoformat())
    return " ".join(words)


@page_for(Action.PLAN_JOBS)
def board_split(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take some minutes of a job into a part of its own."""
    job = _job(request, ref)
    form = SplitOnBoardForm(posted(request), job=job, today=today_at(job.property))

    def act(data: dict[str, Any]) -> str:
        part = split_job(
            job=job,
            minutes=data["minutes"],
            day=data["day"],
            by=request.user,
            at=timezone.now(),
            today=today_at(job.property),
        )
        return _("%(job)s: %(left)s min stay, %(part)s min are a part of their own.") % {
            "job": job,
            "left": job.expected_minutes,
            "part": part.expected_minutes,
        }

    return verb_page(request, form, _page(request, job, _("Split"), act, lead=_lead(job)))


@page_for(Action.PLAN_JOBS)
def board_lock(request: SignedInRequest, ref: str) -> HttpResponse:
    """Keep a job where it lies."""
    job = _job(request, ref)

    def act(_data: dict[str, Any]) -> str:
        lock_job(job=job)
        return _("%s is locked to its day.") % job

    return verb_page(request, forms.Form(posted(request)), _page(request, job, _("Lock"), act))


@page_for(Action.PLAN_JOBS)
def board_unlock(request: SignedInRequest, ref: str) -> HttpResponse:
    """Unlock a job."""
    job = _job(request, ref)

    def act(_data: dict[str, Any]) -> str:
        unlock_job(job=job)
        return _("%s may be moved again.") % job

    return verb_page(request, forms.Form(posted(request)), _page(request, job, _("Unlock"), act))
