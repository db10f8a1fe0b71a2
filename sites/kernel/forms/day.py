"""The day for which a list is asked: `?day=2025-03-31`. Without it, the list is today's."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext as _

NAME = "day"
# These belong to one answer, not to what is asked for.
LEFT_OUT = (NAME, "page", "export", "controllers")


@dataclass(frozen=True)
class AskedDay:
    """A past day, or none where the page is today's; `problem` says why a day was refused."""

    query: QueryDict
    typed: str = ""
    day: date | None = None
    problem: str = ""

    @property
    def carried(self) -> list[tuple[str, str]]:
        """The rest of the address, for a form that asks for another day."""
        rest = [(name, values) for name, values in self.query.lists() if name not in LEFT_OUT]
        return [(name, str(value)) for name, values in rest for value in values]

    @property
    def todays(self) -> str:
        """The query of the same list today."""
        query = self.query.copy()
        for name in LEFT_OUT:
            query.pop(name, None)
        return query.urlencode()

    @property
    def prefix(self) -> str:
        """What a link to a part of this list begins with, so that it stays on the day."""
        return f"{NAME}={self.day.isoformat()}&" if self.day else ""


def asked_day(
    query: QueryDict, *, today: Callable[[], date], first: Callable[[], date | None]
) -> AskedDay:
    """Return the day that an address asks for.

    Args:
        today: asked for where a day is given.
        first: the first day on record, asked for where the day is a past one.
    """
    typed = query.get(NAME, "").strip()[:40]
    if not typed:
        return AskedDay(query)
    try:
        day = forms.DateField(input_formats=["%Y-%m-%d"]).clean(typed)
    except ValidationError:
        problem = _("“%s” is no day. Write it as 2025-03-31. This is today.") % typed
        return AskedDay(query, typed, problem=problem)
    now = today()
    if day > now:
        problem = _("%s is still to come. This is today.") % day.isoformat()
        return AskedDay(query, typed, problem=problem)
    if day == now:
        return AskedDay(query, typed)
    return _past(AskedDay(query, typed, day), first())


def _past(asked: AskedDay, first: date | None) -> AskedDay:
    if first is None:
        problem = _("Nothing is on record yet, so no past day can be shown. This is today.")
    elif asked.day is not None and asked.day < first:
        words = _("The records here begin on %s: what was before is not known. This is today.")
        problem = words % first.isoformat()
    else:
        return asked
    return AskedDay(asked.query, asked.typed, problem=problem)
