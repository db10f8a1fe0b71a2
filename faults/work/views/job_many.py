"""What may be done to many jobs at once: send a crew, another day, lock, take back, print."""

from datetime import date, time
from typing import Any

from django.db.models import QuerySet
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.models import Job
from faults.work.forms.job_filters import JobFilter
from faults.work.forms.job_many import DayManyForm, SendManyForm, WhyManyForm
from faults.work.queries.jobs import crew_of_key, job_to_show, jobs_listed
from faults.work.services import assign_job, lock_job, move_job, unassign_job, unlock_job
from faults.work.views.job_common import job_url
from faults.work.views.job_sending import JobAssign, JobLock, JobMove, JobUnassign, JobUnlock
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import Named
from sites.kernel.views.acts import Act, Look
from sites.kernel.views.many import ManyView
from sites.models import User, today_at


class _JobDay(JobMove):
    """Another day with the crew and the time that each job has."""

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        own = {"crew": self.row.crew, "starts_at": self.row.starts_at}
        return super().arguments({**data, **own})


def _where(job: Job) -> dict[str, Any]:
    """Return crew, day and time, as they can be kept."""
    return {
        "crew": job.crew_id,
        "day": job.day and job.day.isoformat(),
        "starts_at": job.starts_at and job.starts_at.isoformat(),
    }


def _then(job: Job, by: User) -> dict[str, Any]:
    return {"job": job, "by": by, "at": timezone.now(), "today": today_at(job.property)}


def _call_back(job: Job, _kept: dict[str, Any], by: User) -> None:
    unassign_job(**_then(job, by), why=_now("taken back"))


def _to_where_it_was(job: Job, kept: dict[str, Any], by: User) -> None:
    move_job(**_then(job, by), **_read(kept), why=_now("taken back"))


def _send_again(job: Job, kept: dict[str, Any], by: User) -> None:
    assign_job(**_then(job, by), **_read(kept), why=_now("taken back"))


def _read(kept: dict[str, Any]) -> dict[str, Any]:
    starts_at = kept["starts_at"] and time.fromisoformat(kept["starts_at"])
    day = date.fromisoformat(kept["day"])
    return {"crew": crew_of_key(kept["crew"]), "day": day, "starts_at": starts_at or None}


def _unlock(job: Job, _kept: dict[str, Any], _by: User) -> None:
    unlock_job(job=job)


def _lock(job: Job, _kept: dict[str, Any], _by: User) -> None:
    lock_job(job=job)


class JobMany(ManyView[Job]):
    """Jobs that are ticked in their list."""

    asks_for = Action.SEE_WORK
    list_page, many_page = "faults:jobs", "faults:job_many"
    acts = {
        "job_assign": Act(
            JobAssign,
            button=_("Assign"),
            heading=lambda n: ngettext("Assign %(n)s job", "Assign %(n)s jobs", n) % {"n": n},
            said=lambda n: ngettext("%(n)s job assigned.", "%(n)s jobs assigned.", n) % {"n": n},
            undo=_call_back,
            form_class=SendManyForm,
        ),
        "job_move": Act(
            _JobDay,
            button=_("Another day"),
            heading=lambda n: (
                ngettext("Move %(n)s job to a day", "Move %(n)s jobs to a day", n) % {"n": n}
            ),
            said=lambda n: ngettext("%(n)s job moved.", "%(n)s jobs moved.", n) % {"n": n},
            keep=_where,
            undo=_to_where_it_was,
            form_class=DayManyForm,
        ),
        "job_unassign": Act(
            JobUnassign,
            button=_("Take from crew"),
            heading=lambda n: (
                ngettext("Take %(n)s job from its crew", "Take %(n)s jobs from their crews", n)
                % {"n": n}
            ),
            said=lambda n: (
                ngettext("%(n)s job taken from its crew.", "%(n)s jobs taken from their crews.", n)
                % {"n": n}
            ),
            keep=_where,
            undo=_send_again,
            form_class=WhyManyForm,
        ),
        "job_lock": Act(
            JobLock,
            button=_("Lock"),
            heading=lambda n: ngettext("Lock %(n)s job?", "Lock %(n)s jobs?", n) % {"n": n},
            said=lambda n: ngettext("%(n)s job locked.", "%(n)s jobs locked.", n) % {"n": n},
            undo=_unlock,
        ),
        "job_unlock": Act(
            JobUnlock,
            button=_("Unlock"),
            heading=lambda n: ngettext("Unlock %(n)s job?", "Unlock %(n)s jobs?", n) % {"n": n},
            said=lambda n: ngettext("%(n)s job unlocked.", "%(n)s jobs unlocked.", n) % {"n": n},
            undo=_lock,
        ),
    }
    looks = {
        "sheets": Look(_("Print sheets"), "faults:sheets_print"),
        "csv": Look("CSV", "faults:jobs", {"export": "csv"}),
    }

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[Job]:
        return job_to_show(user, action)

    def matching(self, asked: QueryDict) -> QuerySet[Job]:
        found: QuerySet[Job] = JobFilter(asked, queryset=jobs_listed(self.request.user)).qs
        return found.order_by("-day", "pk")

    @classmethod
    def named(cls, row: Job) -> Named[Job]:
        day = f", {row.day.isoformat()}" if row.day else ""
        return Named(row, f"{row}{day}", job_url(row))
