"""The daily mail: the day's visits of one's own crew, what is due today, and what is overdue.

Only what the reader may do there is in it.
"""

import zoneinfo
from collections.abc import Callable, Sequence
from datetime import date, datetime
from urllib.parse import urlencode

from django.conf import settings
from django.db import transaction
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.access import jobs_for
from faults.due.queries import Heap, crews_of, day_is, doable_by, for_person, heaps_of, totals_of
from faults.due.services.lines import page_of
from faults.due.services.outbox import new_message_id, put_out
from faults.due.services.unsubscribing import DIGEST_KEY, unsubscribe_url
from faults.due.services.words import sentence
from faults.models import DigestChoice, FollowUp, FollowUpKind, Job, OutgoingMail
from faults.models.followup import FollowUpQuerySet
from sites.kernel.engines.roles import Action, roles_with
from sites.models import User
from sites.register.queries.stations import days_by_zone

MOST_LINES = 40
DEFAULT_HOUR: int = DigestChoice._meta.get_field("at_hour").default


def readers() -> QuerySet[User]:
    """Return the people who get a daily mail unless they said no."""
    roles = [role.value for role in roles_with(Action.SEE_WORK)]
    against = DigestChoice.objects.filter(is_wanted=False).values("user")
    people = User.objects.filter(is_active=True, grants__role__in=roles).exclude(email="")
    return people.exclude(pk__in=against).distinct()


def write_digests(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Put a mail into the outbox for everybody whose hour has come and who has something due.

    Once per user and day of the user's own zone: the mail's key says so.
    """
    hours = dict(DigestChoice.objects.order_by("pk").values_list("user", "at_hour"))
    written = 0
    for user in list(readers().prefetch_related("grants").order_by("pk")):
        local = timezone.localtime(at, zoneinfo.ZoneInfo(user.time_zone))
        if local.hour >= hours.get(user.pk, DEFAULT_HOUR):
            written += write_digest(user=user, day=local.date(), at=at)
        go_on()
    return {"written": written}


@transaction.atomic
def write_digest(*, user: User, day: date, at: datetime) -> bool:
    """Decide on one user's mail of one day and put it out, in one transaction."""
    key = f"{DIGEST_KEY}{user.pk}:{day.isoformat()}"
    if OutgoingMail.objects.filter(key=key).exists():
        return False
    with translation.override(user.language):
        told = _told(user, day, at)
    if told is None:
        return False
    subject, text = told
    return put_out(
        OutgoingMail(
            key=key,
            message_id=new_message_id(f"digest-{user.pk}-{day.isoformat()}"),
            user=user,
            to=user.email,
            subject=subject,
            text=text,
            made_at=at,
            next_try_at=at,
        )
    )


def _told(user: User, day: date, at: datetime) -> tuple[str, str] | None:
    """Return subject and text, or None where there is nothing to say."""
    days = days_by_zone(at)
    mine = doable_by(user).open().filter(for_person(user)).filter(day_is("lte", days))
    totals = totals_of(mine, days)
    visits = _visits(user, days)
    if not (totals.overdue or totals.today or visits):
        return None
    today = mine.filter(day_is("exact", days)).order_by("property__code", "pk")[:MOST_LINES]
    heaps = heaps_of(mine.filter(day_is("lt", days)))
    shown = heaps[:MOST_LINES]
    lines = [_greeting(user), ""]
    lines += _section(_("Visits of your crew today"), [_visit(job) for job in visits])
    lines += _section(_("Today"), [_line(row) for row in today], totals.today - len(today))
    older = totals.overdue - sum(heap.count for heap in shown)
    lines += _section(_("Overdue"), _overdue(mine, shown), older)
    lines += [_("All of it: %s") % (settings.SITE_URL + reverse("faults:due")), ""]
    lines += [_("To end this daily mail: %s") % unsubscribe_url(user.pk), ""]
    return _subject(day, totals.overdue, totals.today, len(visits)), "\n".join(lines)


def _overdue(rows: FollowUpQuerySet, heaps: Sequence[Heap]) -> list[str]:
    """One line for each kind at each property: a list of what is late has no end otherwise."""
    single = rows.in_bulk([heap.only for heap in heaps if heap.count == 1])
    return [_heap(heap, single.get(heap.only)) for heap in heaps]


def _heap(heap: Heap, only: FollowUp | None) -> str:
    if only is not None:
        return f"{heap.since.isoformat()}  {_line(only)}"
    words = _("%(kind)s: %(n)d, the oldest since %(day)s") % {
        "kind": FollowUpKind(heap.kind).label,
        "n": heap.count,
        "day": heap.since.isoformat(),
    }
    asked = urlencode({"q": heap.code, "kind": heap.kind, "when": "overdue"})
    return _linked(f"{heap.code}: {words}", f"{reverse('faults:due')}?{asked}")


def _greeting(user: User) -> str:
    return _("Hello %s,") % (user.first_name or user.username)


def _subject(day: date, overdue: int, today: int, visits: int) -> str:
    parts = []
    if overdue:
        parts.append(ngettext("%d overdue", "%d overdue", overdue) % overdue)
    if today:
        parts.append(ngettext("%d due today", "%d due today", today) % today)
    if visits:
        parts.append(ngettext("%d visit", "%d visits", visits) % visits)
    return f"{date_format(day, 'D j M')}: {', '.join(parts)}"


def _section(heading: str, lines: Sequence[str], left: int = 0) -> list[str]:
    more = [ngettext("And %d more.", "And %d more.", left) % left] if left > 0 else []
    return [heading, *(f"- {line}" for line in lines), *more, ""] if lines else []


def _linked(words: str, path: str) -> str:
    return f"{words}\n  {settings.SITE_URL}{path}"


def _line(row: FollowUp) -> str:
    return _linked(f"{row.property.code}: {sentence(row)}", page_of(row))


def _visits(user: User, days: dict[str, date]) -> list[Job]:
    """Return today's visits of the crews that the user is in, as far as the user may see them."""
    rows = jobs_for(user).open().select_related("property")
    today = max(days.values(), default=None)
    if today is None:
        return []
    rows = rows.filter(crew__in=crews_of(user, today=today), day__in=set(days.values()))
    ordered = rows.order_by("starts_at", "property__code", "pk")[:MOST_LINES]
    return [job for job in ordered if job.day == days[job.property.time_zone]]


def _visit(job: Job) -> str:
    start = f"{job.starts_at:%H:%M} " if job.starts_at else ""
    words = f"{start}{job.property.code}: {job.get_kind_display()}"
    return _linked(words, reverse("faults:sheet", args=[job.ref]))
