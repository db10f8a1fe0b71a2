"""On which days and between which minutes a job may be done: doors, promises, what bars it."""

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from faults.cases.engines.working import Rests
from faults.models import Job
from faults.rota.engines.problem import Windows
from faults.work.engines.arriving import Arrival, let_in
from faults.work.queries.board import Entering
from faults.work.services.arriving import arrival_words
from faults.work.services.readiness import readiness_of


@dataclass(frozen=True)
class Doors:
    """When places may be entered, and when somebody was promised there."""

    doors: Entering
    promised: Mapping[int, Arrival]

    def of(self, job: Job, day: date, rests: Rests) -> Windows | None:
        """Return between which minutes a job is done on a day; None = at any."""
        if self.doors.blackout(job.property_id, day):
            return ()
        access = self.doors.access(job.property_id, day)
        return let_in(access, self.promised.get(job.pk), day, job.expected_minutes, rests)


def barred_days(
    rows: Sequence[Job], days: Sequence[date], today: date, promised: Mapping[int, Arrival]
) -> dict[tuple[int, date], str]:
    """Return why a job cannot go on a day, whatever is done until then; in words.

    Hours of entering stand in the windows of the day itself.
    """
    found = {}
    for day in days:
        on_day = [copy(job) for job in rows]
        for job in on_day:
            job.day, job.starts_at = day, None
        for key, ready in readiness_of(on_day, today=today).items():
            if words := " ".join(line.words for line in ready.barring):
                found[key, day] = words
        for job in rows:
            arrival = promised.get(job.pk)
            if arrival is not None and arrival.day != day:
                words = _("Somebody was %s.") % arrival_words(job.fault)
                found[job.pk, day] = f"{words} {found.get((job.pk, day), '')}".strip()
    return found
