"""A working week in words."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from faults.cases.services.working_days import weekday_name
from faults.models import WorkDay


def week_words(rows: Sequence[WorkDay]) -> str:
    """Return the weekdays that are worked, with hours and breaks that are not the usual ones."""
    if not rows:
        return _("no weekdays entered: every day counts as worked")
    words = []
    for row in rows:
        name = weekday_name(row.weekday)
        if row.starts_at is not None and row.ends_at is not None:
            name += f" {row.starts_at:%H:%M}–{row.ends_at:%H:%M}"
        if row.break_from is not None and row.break_to is not None:
            name += " (" + _("break %s") % f"{row.break_from:%H:%M}–{row.break_to:%H:%M}" + ")"
        words.append(name)
    return ", ".join(words)
