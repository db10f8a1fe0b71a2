"""One user's calendar as RFC 5545 has it: visits with their hour, follow-ups as whole days.

What the user may see is checked at each read. No price, gate code, contact or note is in
it: an address can be passed on. Behind a question mark an address may be narrowed to some kinds and
to one person: never to what the user may not see.
"""

import zoneinfo
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import Exists, Model, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce, Now
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from faults.access import jobs_for
from faults.cases.engines.working import WorkingDay
from faults.cases.services.working_days import Slot, minute_of, working_days
from faults.due.queries import crews_of, due_rows, for_person
from faults.due.services.words import sentence
from faults.models import CrewMember, FollowUp, FollowUpState, Job, JobState
from sites.kernel.access import properties_where
from sites.kernel.engines.roles import Action
from sites.kernel.lazily import lazily
from sites.models import User

icalendar = lazily("icalendar")

DAYS_BACK, DAYS_AHEAD = 60, 370
MOST_EVENTS = 2000
PRODUCT = "-//Rejoin//Calendar//EN"


@dataclass(frozen=True)
class Narrowed:
    """What of a calendar is shown.

    Args:
        jobs, due: kinds of job, and of what falls due; None = all.
        person: only the visits of this person's crews, and what is with this person.
    """

    jobs: frozenset[str] | None = None
    due: frozenset[str] | None = None
    person: User | None = None


ALL = Narrowed()


def calendar_of(user: User, *, at: datetime, narrowed: Narrowed = ALL) -> bytes:
    """Return the user's calendar, in the user's language."""
    with translation.override(user.language):
        calendar = icalendar.Calendar()
        calendar.add("prodid", PRODUCT)
        calendar.add("version", "2.0")
        calendar.add("method", "PUBLISH")
        calendar.add("x-wr-calname", _("Rejoin: visits and what is due"))
        jobs = list(_jobs(user, at, narrowed))
        crews = {job.crew_id: job.crew for job in jobs if job.crew is not None}
        working = working_days(list(crews.values()), {job.day for job in jobs if job.day})
        for job in jobs:
            calendar.add_component(_visit(job, working))
        for row in _follow_ups(user, at, narrowed):
            calendar.add_component(_whole_day(row))
        calendar.add_missing_timezones(first_date=(at - timedelta(days=DAYS_BACK)).date())
    content: bytes = calendar.to_ical()
    return content


def _jobs(user: User, at: datetime, narrowed: Narrowed) -> Iterable[Job]:
    """Visits of the user's crews; all of them where the user plans."""
    today = timezone.localdate(at, zoneinfo.ZoneInfo(user.time_zone))
    planned = properties_where(user, Action.PLAN_JOBS, "property")
    crews = Q(crew__in=crews_of(user, today=today))
    rows = jobs_for(user).filter(crew__isnull=False, day__range=_span(today))
    # An empty condition means all properties, and would vanish in an "or".
    mine = rows.filter(planned | crews) if planned else rows
    if narrowed.jobs is not None:
        mine = mine.filter(kind__in=narrowed.jobs)
    if narrowed.person is not None:
        mine = mine.filter(Exists(_with_it(narrowed.person)))
    stamped = _stamped(mine.select_related("property", "crew", "fault"), Job)
    return stamped.order_by("day", "pk")[:MOST_EVENTS]


def _with_it(person: User) -> QuerySet[CrewMember]:
    """Return who of a job's crew is this person on the job's day."""
    rows = CrewMember.objects.filter(user=person, crew=OuterRef("crew"))
    until = Q(to_on__isnull=True) | Q(to_on__gt=OuterRef("day"))
    return rows.filter(until, from_on__lte=OuterRef("day"))


def _follow_ups(user: User, at: datetime, narrowed: Narrowed) -> Iterable[FollowUp]:
    """What is due, without what is assigned to another user."""
    today = timezone.localdate(at, zoneinfo.ZoneInfo(user.time_zone))
    rows = due_rows(user).filter(due_on__range=_span(today))
    if narrowed.due is not None:
        rows = rows.filter(kind__in=narrowed.due)
    if narrowed.person is not None:
        rows = rows.filter(handed_to=narrowed.person)
    else:
        rows = rows.filter(for_person(user))
    return _stamped(rows, FollowUp).order_by("due_on", "pk")[:MOST_EVENTS]


def _span(today: date) -> tuple[date, date]:
    return today - timedelta(days=DAYS_BACK), today + timedelta(days=DAYS_AHEAD)


def _stamped(rows: QuerySet[Any], model: type[Model]) -> QuerySet[Any]:
    """Give each row the moment of its last change, which a calendar compares."""
    records: Any = model.history.model.objects  # type: ignore[attr-defined]
    latest = records.filter(id=OuterRef("pk")).order_by("-history_id").values("history_date")[:1]
    stamped: QuerySet[Any] = rows.annotate(changed_at=Coalesce(Subquery(latest), Now()))
    return stamped


def _event(row: Any, kind: str, summary: str, url: str) -> Any:
    event = icalendar.Event()
    event.add("uid", f"{kind}-{row.ref}@rejoin")
    event.add("sequence", row.sequence)
    event.add("dtstamp", row.changed_at)
    event.add("last-modified", row.changed_at)
    event.add("summary", summary)
    event.add("url", settings.SITE_URL + url)
    return event


def _visit(job: Any, working: Mapping[Slot, WorkingDay]) -> Any:
    words = f"{job.property.code}: {job.get_kind_display()}"
    event = _event(job, "job", words, _page_of(job))
    if job.starts_at is None:
        event.add("dtstart", job.day)
        event.add("dtend", job.day + timedelta(days=1))
    else:
        zone = zoneinfo.ZoneInfo(job.property.time_zone)
        start = datetime.combine(job.day, job.starts_at, zone)
        # Minutes are minutes that pass, on the night of a change of clocks too; in the crew's break
        # nobody works on it.
        begins = minute_of(job.starts_at)
        ends = working[job.crew_id, job.day].end_of(begins, job.expected_minutes)
        end = start.astimezone(zoneinfo.ZoneInfo("UTC")) + timedelta(minutes=ends - begins)
        event.add("dtstart", start)
        event.add("dtend", end.astimezone(zone))
    if job.property.address:
        event.add("location", job.property.address)
    event.add("description", _("Crew: %s") % job.crew.name)
    is_off = job.state == JobState.WITHDRAWN
    event.add("status", "CANCELLED" if is_off else "CONFIRMED")
    return event


def _page_of(job: Job) -> str:
    if job.fault is not None:
        return reverse("faults:fault", args=[job.fault.ref])
    return reverse("reports:property", args=[job.property.ref])


def _whole_day(row: Any) -> Any:
    words = f"{row.property.code}: {sentence(row)}"
    event = _event(row, "due", words, reverse("faults:due"))
    event.add("dtstart", row.due_on)
    event.add("dtend", row.due_on + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    is_open = row.state == FollowUpState.OPEN
    event.add("status", "CONFIRMED" if is_open else "CANCELLED")
    return event
