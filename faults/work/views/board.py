"""The board: crews by days. Plain links and forms; a script adds picking up and dropping."""

from collections.abc import Callable
from datetime import date, timedelta
from functools import cached_property
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.translation import gettext_lazy as _

from faults.access import jobs_for
from faults.models import Job
from faults.work.forms.board import MoveOnBoardForm, SplitOnBoardForm
from faults.work.services import assign_job, lock_job, move_job, split_job, unassign_job, unlock_job
from faults.work.services.board import board_of, week_from
from faults.work.services.readiness import open_words, readiness_of
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property


@page_for(Action.SEE_WORK)
def board(request: SignedInRequest) -> HttpResponse:
    """Seven days of all crews from today or a chosen day, or one day, or one crew; and the tray."""
    today = timezone.localdate()
    shown = _day(request, today)
    is_day, only = request.GET.get("view") == "day", request.GET.get("crew", "")
    days = [shown] if is_day else week_from(shown)
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
    kept = _kept(request)
    return f"{reverse('faults:board')}?{urlencode(kept)}" if kept else reverse("faults:board")


def _kept(request: HttpRequest) -> dict[str, str]:
    return {name: request.GET[name] for name in ("day", "view", "crew") if request.GET.get(name)}


class _BoardView(VerbView[Job]):
    """A verb on a job, from the board and back to it."""

    takes = "job"

    def find(self) -> Job:
        jobs = jobs_for(self.user, self.may_do).select_related("property", "crew", "fault")
        return find(jobs, ref=self.kwargs["ref"])

    def get_place(self) -> Property:
        return self.row.property

    def get_heading(self) -> Text:
        return f"{self.row}: {self.button}"

    def get_back(self) -> str:
        return _back(self.request)

    def get_crumbs(self) -> Crumbs:
        return [(reverse("faults:moves"), _("Moves")), (self.get_back(), _("Crews and days"))]


class BoardMove(_BoardView):
    """Send a crew, send another, or put the job back into the tray."""

    verb = move_job
    assign = assign_job
    unassign = unassign_job
    button = _("Move to…")
    template_name = "faults/moves/move.html"

    @cached_property
    def form(self) -> MoveOnBoardForm:
        asked = self.request.GET
        return MoveOnBoardForm(
            self.posted,
            job=self.row,
            user=self.user,
            to_tray="tray" in asked,
            proposed=(asked.get("to", ""), asked.get("on", "")),
        )

    def get_verb(self) -> Callable[..., Any]:
        """Return the verb: it follows from where the job lies and where it goes."""
        if self.form.chosen_crew() is None:
            return type(self).unassign
        return type(self).assign if self.row.crew_id is None else type(self).verb

    def arguments(self, data: dict[str, object]) -> dict[str, object]:
        return super().arguments({**data, "crew": self.form.chosen_crew()})

    def get_lead(self) -> Text:
        return _lead(self.row)

    def get_extra(self) -> dict[str, Any]:
        """The week in which it may go, as full as it is."""
        job = self.row
        first = max(day for day in (self.today, job.day, job.earliest_on) if day is not None)
        days = week_from(first)
        rows = board_of(self.user, days=days, today=self.today).rows
        return {"rows": rows, "days": days, "here": urlencode(_kept(self.request))}

    def get_done(self) -> Text:
        """Say where it lies, and what is still open before it can go."""
        job = self.row
        if job.crew is None:
            return _words(job)
        return f"{_words(job)} {open_words(readiness_of([job], today=self.today)[job.pk])}".strip()

    def get_after(self) -> str:
        """The board at the job's card, also where that lies beyond what was shown."""
        asked, job = self.request.GET, self.row
        shown, is_day = _day(self.request, timezone.localdate()), asked.get("view") == "day"
        only = asked.get("crew", "")
        if job.crew is not None and job.day is not None:
            days = [shown] if is_day else week_from(shown)
            shown = shown if job.day in days else job.day
            only = only and job.crew.ref
        return f"{reverse('faults:board')}?{_query(shown, is_day, only)}#job-{job.ref}"


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


class BoardSplit(_BoardView):
    """Take some minutes of a job into a part of its own."""

    verb = split_job
    form_class = SplitOnBoardForm
    button = _("Split")

    def get_lead(self) -> Text:
        return _lead(self.row)

    def get_done(self) -> Text:
        return _("%(job)s: %(left)s min stay, %(part)s min are a part of their own.") % {
            "job": self.row,
            "left": self.row.expected_minutes,
            "part": self.result.expected_minutes,
        }


class BoardLock(_BoardView):
    """Keep a job where it lies."""

    verb = lock_job
    button = _("Lock")
    done = _("%s is locked to its day.")


class BoardUnlock(_BoardView):
    """Unlock a job."""

    verb = unlock_job
    button = _("Unlock")
    done = _("%s may be moved again.")
