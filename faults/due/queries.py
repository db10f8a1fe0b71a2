"""Reads of what falls due. Days are days of each property's own time zone."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Case, Count, Min, OuterRef, Q, QuerySet, Subquery, When

from faults.access import follow_ups_for
from faults.models import CrewMember, FollowUp, FollowUpKind, FollowUpState, Quote
from faults.models.followup import FollowUpQuerySet
from sites.kernel.access import actions_anywhere
from sites.kernel.engines.roles import Action
from sites.models import Property, User

SHOWN_WITH = (
    "property",
    "station__controller",
    "controller",
    "device",
    "fault",
    "job",
    "notice",
    "handed_to",
    "done_by",
)
MOST_HERE = 10

Days = Mapping[str, date]


def day_is(lookup: str, days: Days, *, plus: int = 0) -> Q:
    """Return the condition that compares the day due with each property's own today.

    Args:
        lookup: "lt", "lte", "exact" or "gt". plus: so many days after today.
    """
    found = Q(pk__in=[])
    by_day: dict[date, list[str]] = {}
    for zone, day in days.items():
        by_day.setdefault(day, []).append(zone)
    for day, zones in by_day.items():
        own = {f"due_on__{lookup}": day + timedelta(days=plus), "property__time_zone__in": zones}
        found |= Q(**own)
    return found


WHEN_IS: dict[str, Callable[[Days], Q]] = {
    "overdue": lambda days: day_is("lt", days),
    "today": lambda days: day_is("exact", days),
    "coming": lambda days: day_is("gt", days),
}


def for_person(user: User) -> Q:
    """Return the condition that leaves out what is assigned to another user."""
    return Q(handed_to=None) | Q(handed_to=user)


def due_rows(user: User) -> FollowUpQuerySet:
    """Return what the user may see, with all that a line shows.

    `sent_quote` is the newest quote of its fault that was sent, or None.
    """
    sent = Quote.objects.filter(
        fault=OuterRef("fault"), withdrawn_on=None, links__isnull=False
    ).order_by("-version")
    rows = follow_ups_for(user).select_related(*SHOWN_WITH)
    return rows.annotate(sent_quote=Subquery(sent.values("ref")[:1]))


@dataclass(frozen=True)
class Totals:
    """How much is overdue, due today, and coming."""

    overdue: int
    today: int
    coming: int


def totals_of(rows: QuerySet[FollowUp], days: Days) -> Totals:
    """Count open rows by how their day stands to today, in one query."""
    counted = rows.order_by().aggregate(
        overdue=Count("pk", filter=day_is("lt", days)),
        until_today=Count("pk", filter=day_is("lte", days)),
        all=Count("pk"),
    )
    until = counted["until_today"]
    return Totals(counted["overdue"], until - counted["overdue"], counted["all"] - until)


def due_here(user: User, place: Property) -> list[FollowUp]:
    """Return the first of what is due or coming at one property."""
    rows = due_rows(user).open().filter(property=place)
    return list(rows.order_by("due_on", "pk")[:MOST_HERE])


def done_lately(user: User, *, today: date) -> FollowUpQuerySet:
    """Return what was done in the last weeks: a slip of the finger is taken back here."""
    since = today - timedelta(days=30)
    return due_rows(user).filter(state=FollowUpState.DONE, done_on__gte=since)


def handled_by(user: User) -> FollowUpQuerySet:
    """Return the follow-ups that the user may do, move and reassign."""
    return follow_ups_for(user, Action.HANDLE_FOLLOW_UPS).select_related(*SHOWN_WITH)


def person_of(key: int | None) -> User | None:
    """Return the user of this key, for a line that goes back to who had it; None for nobody."""
    return User.objects.filter(pk=key).first() if key else None


def in_working_order(rows: FollowUpQuerySet, days: Days) -> FollowUpQuerySet:
    """Order open rows as they are worked off: late, today, later; then by property and kind."""
    when = Case(
        When(WHEN_IS["overdue"](days), then=0), When(WHEN_IS["today"](days), then=1), default=2
    )
    return rows.annotate(when=when).order_by(
        "when", "property__code", "property", "kind", "due_on", "pk"
    )


# What a line of this kind asks for beside ticking it off.
ALSO_NEEDS = {
    FollowUpKind.CHASE_CLIENT: Action.ASK_CLIENT,
    FollowUpKind.NOTICE_CLEAR: Action.GIVE_NOTICE,
    FollowUpKind.NOTICE_RUNS_OUT: Action.GIVE_NOTICE,
}


def doable_by(user: User) -> FollowUpQuerySet:
    """Return the follow-ups that the user may handle and may do what they ask for."""
    rows = handled_by(user)
    for kind, action in ALSO_NEEDS.items():
        may_not = ~Q(pk__in=follow_ups_for(user, action).order_by().values("pk"))
        rows = rows.exclude(Q(kind=kind) & may_not)
    return rows


@dataclass(frozen=True)
class Heap:
    """Alike lines at one property: how many, the oldest day, and the one where it is one."""

    code: str
    kind: str
    count: int
    since: date
    only: int


def heaps_of(rows: QuerySet[FollowUp]) -> list[Heap]:
    """Return the rows as one heap for each property and kind, the oldest first."""
    grouped = rows.order_by().values("property", "property__code", "kind")
    counted = grouped.annotate(n=Count("pk"), since=Min("due_on"), only=Min("pk"))
    return [
        Heap(each["property__code"], each["kind"], each["n"], each["since"], each["only"])
        for each in counted.order_by("since", "property__code", "kind", "property")
    ]


def crews_of(user: User, *, today: date) -> list[int]:
    """Return the keys of the crews that the user is in."""
    held = CrewMember.objects.on(today).filter(user=user).order_by("pk")
    return list(held.values_list("crew", flat=True))


def people_in_feeds(user: User) -> list[User]:
    """Return the people to whom the user's calendar may be narrowed: for who plans, all who go.

    Nobody else is offered anybody but oneself.
    """
    mine = User.objects.filter(pk=user.pk)
    if Action.PLAN_JOBS not in actions_anywhere(user):
        return list(mine)
    going = CrewMember.objects.filter(user__is_active=True).order_by().values("user")
    rows = User.objects.filter(Q(pk__in=going) | Q(pk=user.pk))
    return list(rows.order_by("first_name", "username", "pk"))
