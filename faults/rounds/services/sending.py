"""Send a crew to the visits of a round: in the order of going, as many a day as it can do."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Sum
from django.db.transaction import atomic
from django.utils.translation import gettext as _

from faults.cases.services.working_days import working_days
from faults.models import Crew, Job, Round
from faults.rounds.queries.rounds import unsent_jobs
from faults.rounds.services.told import UnableToPlanRound
from faults.work.services import assign_job
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User

MOST_DAYS_TRIED = 60


@dataclass(frozen=True)
class Sent:
    """What the crew got, and what it could not be given, with the last refusal."""

    jobs: list[Job]
    left: list[tuple[Job, str]]


@verb(
    name="send a crew on a round",
    action=Action.PLAN_JOBS,
    guard="some visit of it has no crew; the crew works within 60 days and at least one visit can "
    "be assigned to it; each is assigned as any job",
    undo="take the jobs from their crew one by one",
)
def send_on_round(
    *, the_round: Round, crew: Crew, first_day: date, by: User, at: datetime, today: date
) -> Sent:
    """Give the crew each visit that nobody has, day after day, within its working minutes.

    Drives are not counted here: the rota weighs them. A visit that is longer than a day of the
    crew begins on a day of its own.
    """
    jobs = unsent_jobs(the_round)
    if not jobs:
        raise UnableToPlanRound(
            _("Every visit that is planned has a crew already. Plan the next visits first.")
        )
    days = _Days(crew, max(first_day, today))
    sent, left = [], []
    for job in jobs:
        why = _send(job, days, by=by, at=at, today=today)
        if why:
            left.append((job, why))
        else:
            sent.append(job)
    if not sent:
        raise UnableToPlanRound(left[0][1], field="crew")
    return Sent(sent, left)


class _Days:
    """The working days of a crew from a day on, with the minutes that are left on each."""

    def __init__(self, crew: Crew, first: date) -> None:
        self.crew = crew
        days = [first + timedelta(days=n) for n in range(MOST_DAYS_TRIED)]
        working = working_days([crew], days)
        self.days = [day for day in days if working[crew.pk, day].is_worked]
        rows = Job.objects.open().filter(crew=crew, day__in=self.days).order_by()
        taken = dict(rows.values_list("day").annotate(minutes=Sum("expected_minutes")))
        self.whole = {day: working[crew.pk, day].minutes for day in self.days}
        self.free = {day: self.whole[day] - taken.get(day, 0) for day in self.days}

    def for_job(self, job: Job) -> list[date]:
        """Return the days on which the job fits, the earliest first."""
        wanted = job.expected_minutes
        return [
            day
            for day in self.days
            if (job.earliest_on is None or day >= job.earliest_on)
            and self.free[day] >= min(wanted, self.whole[day])
        ]


def _send(job: Job, days: _Days, *, by: User, at: datetime, today: date) -> str:
    """Assign one job to its first day, and return why not where no day would do."""
    why = _("%(crew)s has no day with so many minutes free within %(days)s days.") % {
        "crew": days.crew,
        "days": MOST_DAYS_TRIED,
    }
    for day in days.for_job(job):
        try:
            with atomic():
                assign_job(job=job, crew=days.crew, day=day, by=by, at=at, today=today)
        except UnableToAct as refusal:
            why = str(refusal)
            job.refresh_from_db()
            if job.due_on is not None and day >= job.due_on:
                break
            continue
        days.free[day] -= job.expected_minutes
        return ""
    return why
