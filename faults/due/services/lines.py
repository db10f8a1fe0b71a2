"""The lines of the page of what is due: filtered, and grouped by how their day stands."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from faults.due.queries import (
    WHEN_IS,
    Days,
    done_lately,
    due_here,
    due_rows,
    in_working_order,
)
from faults.due.services.words import about, sentence
from faults.models import FollowUp, FollowUpKind, FollowUpState, JobKind
from faults.models.followup import FollowUpQuerySet
from sites.kernel.access import may
from sites.kernel.engines.roles import Action
from sites.models import Property, User


@dataclass(frozen=True)
class Line:
    """One line: what, where, since when late, and whether the user may do it."""

    row: FollowUp
    words: str
    about: str
    url: str
    days_late: int
    may_handle: bool
    # The page on which it is done, beside ticking it: its address and its words.
    act: tuple[str, str] | None = None


@dataclass(frozen=True)
class Heap:
    """Lines of one kind at one property."""

    place: Property
    kind: str
    lines: list[Line]

    @property
    def refs(self) -> str:
        """The lines that the user may handle, for one tick that stands for all of them."""
        return " ".join(line.row.ref for line in self.lines if line.may_handle)

    @property
    def oldest(self) -> Line:
        """The line that is due first."""
        return min(self.lines, key=lambda line: line.row.due_on)


@dataclass(frozen=True)
class Group:
    """Lines whose day stands alike to today."""

    heading: str
    name: str
    heaps: list[Heap]

    @property
    def refs(self) -> str:
        """All of them that the user may handle."""
        return " ".join(heap.refs for heap in self.heaps if heap.refs)


def filtered(user: User, chosen: dict[str, str], *, today: date | None) -> FollowUpQuerySet:
    """Return what the user may see, as far as the filter lets through, in order of the days."""
    is_done = chosen["show"] == "done" and today is not None
    rows = done_lately(user, today=today) if is_done and today else due_rows(user).open()
    if chosen["q"]:
        rows = rows.filter(property__code__icontains=chosen["q"])
    if chosen["kind"]:
        rows = rows.filter(kind=chosen["kind"])
    if chosen["whose"] == "mine":
        rows = rows.filter(handed_to=user)
    elif chosen["whose"] == "nobody":
        rows = rows.filter(handed_to=None)
    return rows.order_by("-done_on", "-pk") if is_done else rows.order_by("due_on", "pk")


def chosen_rows(user: User, chosen: dict[str, str], days: Days) -> FollowUpQuerySet:
    """Return the rows that the page shows, on all of its pages, in the order of the page."""
    rows = filtered(user, chosen, today=max(days.values(), default=None))
    if chosen["show"] == "done":
        return rows
    if chosen["when"]:
        rows = rows.filter(WHEN_IS[chosen["when"]](days))
    return in_working_order(rows, days)


def lines_of(rows: Iterable[FollowUp], days: Days, user: User) -> list[Group]:
    """Return the rows as lines, grouped; the order within is kept."""
    headings = {
        "done": _("Done"),
        "overdue": _("Overdue"),
        "today": _("Today"),
        "coming": _("Coming"),
    }
    names = list(headings)
    known = sorted(((_name(row, days), row) for row in rows), key=lambda each: names.index(each[0]))
    return [
        Group(headings[name], name, _heaps([line_of(row, days, user) for _same, row in group]))
        for name, group in groupby(known, key=lambda each: each[0])
    ]


def _heaps(lines: list[Line]) -> list[Heap]:
    """Put what is alike side by side together; what was done lately keeps its order."""
    alike = groupby(lines, key=lambda line: (line.row.property_id, line.row.kind))
    return [
        Heap(found[0].row.property, found[0].row.get_kind_display(), found)
        for found in (list(each) for _same, each in alike)
    ]


def _name(row: FollowUp, days: Days) -> str:
    if row.done_on is not None:
        return "done"
    today = days[row.property.time_zone]
    if row.due_on < today:
        return "overdue"
    return "today" if row.due_on == today else "coming"


def line_of(row: FollowUp, days: Days, user: User) -> Line:
    """Return one line."""
    late = (days[row.property.time_zone] - row.due_on).days
    handles = may(user, Action.HANDLE_FOLLOW_UPS, row.property)
    return Line(row, sentence(row), about(row), page_of(row), late, handles, _act(row, user))


def _act(row: FollowUp, user: User) -> tuple[str, str] | None:
    if row.state != FollowUpState.OPEN:
        return None
    if row.kind == FollowUpKind.BATTERY and may(user, Action.PLAN_JOBS, row.property):
        # Batteries that are due are changed on one round: its form has all of them ticked.
        kind = urlencode({"kind": JobKind.BATTERIES.value})
        form = reverse("faults:job_add_on_property", args=[row.property.ref])
        return f"{form}?{kind}", _("Plan a battery round")
    quote: str | None = getattr(row, "sent_quote", None)
    if (
        row.kind == FollowUpKind.CHASE_CLIENT
        and quote
        and may(user, Action.ASK_CLIENT, row.property)
    ):
        return reverse("faults:quote_send", args=[quote]), _("Send the quote again")
    return None


def due_lines_here(user: User, place: Property, *, today: date) -> list[Line]:
    """Return the first lines of what is due or coming at one property."""
    days = {place.time_zone: today}
    return [line_of(row, days, user) for row in due_here(user, place)]


def page_of(row: FollowUp) -> str:
    """Return the page of the narrowest thing that it is about."""
    if row.device:
        return reverse("sites:device", args=[row.device.ref])
    if row.fault:
        return reverse("faults:fault", args=[row.fault.ref])
    if row.station:
        return reverse("reports:station", args=[row.station.ref])
    if row.controller:
        return reverse("sites:controller", args=[row.controller.ref])
    if row.kind == FollowUpKind.CENTRAL_DIFFERS:
        return reverse("sites:reconcile")
    return reverse("reports:property", args=[row.property.ref])
