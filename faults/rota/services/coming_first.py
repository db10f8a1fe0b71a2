"""Which jobs of a rota come after a locate, and what a locate that is not planned here leaves."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from faults.models import Job
from faults.rota.engines.problem import ShiftKey, Task
from faults.work.services.forerunners import forerunners


@dataclass(frozen=True)
class ComingFirst:
    """The locates that come before jobs.

    Args:
        inside: those that are planned here, by the key of the job that waits.
        outside: all others.
    """

    inside: dict[int, list[Job]]
    outside: dict[int, list[Job]]

    def after(self, job: Job) -> frozenset[int]:
        """Return the keys of the jobs of the same rota that a job waits for."""
        return frozenset(first.pk for first in self.inside.get(job.pk, ()))

    def barring(self, job: Job, day: date) -> str:
        """Return why a job cannot go on a day, for locates that are not planned here; in words."""
        for first in self.outside.get(job.pk, ()):
            if first.day is None:
                return _("It comes after %s, which has no day and is not planned here.") % first
            if day <= first.day:
                return _("It comes after %(first)s, which is on %(day)s.") % {
                    "first": first,
                    "day": first.day.isoformat(),
                }
        return ""


def coming_first(rows: Sequence[Job]) -> ComingFirst:
    """Return what comes before these jobs, in as many queries for many as for few."""
    keys = {job.pk for job in rows}
    found = forerunners(rows)
    return ComingFirst(
        {key: [f for f in firsts if f.pk in keys] for key, firsts in found.items()},
        {key: [f for f in firsts if f.pk not in keys] for key, firsts in found.items()},
    )


def in_turn(there: Sequence[Task], key: ShiftKey) -> list[Task]:
    """Return the fixed jobs of one shift by their times, those that wait for another behind it."""
    by_key = {task.key: task for task in there}

    def turn(task: Task) -> tuple[object, bool, int]:
        firsts = [by_key[first] for first in task.after if first in by_key]
        return max([task.on(key), *(first.on(key) for first in firsts)]), bool(firsts), task.key

    return sorted(there, key=turn)


def left_as_they_are(tasks: Sequence[Task], full: Collection[ShiftKey]) -> list[Task]:
    """Return the jobs without those that are fixed on shifts which are not planned.

    What waits for one of those has a later day than it.
    """
    gone: Mapping[int, ShiftKey] = {
        task.key: task.locked for task in tasks if task.locked is not None and task.locked in full
    }
    found = []
    for task in tasks:
        if task.key in gone:
            continue
        days = [gone[first].day + 1 for first in task.after if first in gone]
        after = task.after - gone.keys()
        first_day = task.first_day if task.locked is not None else max([task.first_day, *days])
        found.append(replace(task, after=after, first_day=first_day))
    return found
