"""Which backups of a schedule are kept: the newest of each of some days, and of some weeks.

Only days and weeks on which one was made count: after months without any, nothing is deleted for
its age alone.
"""

from collections.abc import Hashable, Mapping
from datetime import datetime


def to_forget(made_at: Mapping[str, datetime], *, days: int, weeks: int) -> list[str]:
    """Return the names of those that are kept neither for their day nor for their week.

    Args:
        made_at: when each was made, by its name; days are those of its zone, weeks begin on Monday
            (ISO 8601).
        days, weeks: how many days and weeks keep one each, the newest ones; the newest backup of
            all is kept whatever they say.
    """
    newest_first = sorted(made_at, key=lambda name: (made_at[name], name), reverse=True)
    of_days: dict[Hashable, str] = {}
    of_weeks: dict[Hashable, str] = {}
    for name in newest_first:
        of_days.setdefault(made_at[name].date(), name)
        of_weeks.setdefault(made_at[name].isocalendar()[:2], name)
    kept = {*newest_first[:1], *list(of_days.values())[:days], *list(of_weeks.values())[:weeks]}
    return sorted(set(made_at) - kept)
