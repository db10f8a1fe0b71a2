"""Which other crew could take a job on its day: at work, with the skill, and with minutes free."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.cases.engines.working import WorkingDay
from faults.cases.services.man_hours import in_hours
from faults.cases.services.spending import hours_words
from faults.cases.services.working_days import Slot
from faults.models import Crew, Job


@dataclass(frozen=True)
class Free:
    """A crew and the minutes that it has left on a day, drives not counted."""

    crew: Crew
    minutes: int


def could_take(
    job: Job,
    day: date,
    *,
    crews: Collection[Crew],
    working: Mapping[Slot, WorkingDay],
    planned: Mapping[Slot, int],
) -> list[Free]:
    """Return the other crews that could take a job on a day, the one with most time first.

    Args:
        planned: the minutes that each crew has on each day already.
    """
    found = []
    for crew in crews:
        on = working.get((crew.pk, day))
        if on is None or crew.pk == job.crew_id or not on.is_worked:
            continue
        if crew.retired_on is not None and crew.retired_on <= day:
            continue
        free = on.minutes - planned.get((crew.pk, day), 0)
        is_able = on.skill >= job.skill_needed and on.people >= job.people_needed
        if is_able and free >= job.expected_minutes:
            found.append(Free(crew, free))
    return sorted(found, key=lambda one: (-one.minutes, one.crew.name, one.crew.pk))


def could_take_words(found: Collection[Free]) -> str:
    """Return who could take a job, or that nobody could."""
    if not found:
        return _("No other crew has the skill, the people and the time for it that day.")
    names = ", ".join(
        _("%(crew)s (%(hours)s h free)") % {"crew": one.crew, "hours": hours_text(one.minutes)}
        for one in found
    )
    return _("Could take it that day: %s.") % names


def hours_text(minutes: int) -> str:
    """Return minutes as hours with at most two decimals: 8.5, 8, 0.25."""
    return hours_words(in_hours(minutes))
