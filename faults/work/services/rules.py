"""What the verbs of jobs share: the guards of its state."""

from datetime import date

from django.utils.translation import gettext as _

from faults.models import OPEN_JOB_STATES, Crew, Job, JobState
from faults.work.engines.safety import DEEPEST_IN
from faults.work.services.told import JobFacts, UnableToPlan, UnableToSend
from sites.kernel.services.verbs import UnableToAct

MOST_MINUTES = 14 * 24 * 60


def refuse_unless_open(job: Job, kind: type[UnableToAct] = UnableToPlan) -> None:
    """Refuse what a finished or withdrawn job no longer takes."""
    if job.state == JobState.DONE:
        raise kind(
            _("This job is done, and a finished job does not change. Plan another, or reopen it.")
        )
    if job.state == JobState.WITHDRAWN:
        raise kind(_("This job was withdrawn. Bring it back first."))


def refuse_unless_planned(job: Job, kind: type[UnableToAct] = UnableToPlan) -> None:
    """Refuse unless the job is planned and not started."""
    refuse_unless_open(job, kind)
    if job.state == JobState.STARTED:
        raise kind(_("This job is under way. Finish it, or take its start back first."))


def refuse_if_locked(job: Job) -> None:
    """Refuse to move a locked day: it was promised to the client."""
    if job.is_locked:
        raise UnableToSend(
            _("This job is locked to %(crew)s on %(day)s. Unlock it first.")
            % {"crew": job.crew, "day": job.day.isoformat() if job.day else ""}
        )


def refuse_crew(crew: Crew, day: date, today: date) -> None:
    """Refuse a day that is over, a retired crew, and a crew that is away."""
    if day < today:
        raise UnableToSend(
            _("%(day)s is over (today is %(today)s). Choose today or a later day.")
            % {"day": day.isoformat(), "today": today.isoformat()},
            field="day",
        )
    if crew.retired_on is not None and crew.retired_on <= day:
        raise UnableToSend(
            _("%(crew)s is retired from %(day)s on. Choose another crew.")
            % {"crew": crew, "day": crew.retired_on.isoformat()},
            field="crew",
        )
    away = crew.away.filter(from_on__lte=day, to_on__gt=day).order_by("from_on", "pk").first()
    if away is not None:
        why = f" ({away.why})" if away.why else ""
        raise UnableToSend(
            _("%(crew)s is away on that day%(why)s. Choose another crew or day.")
            % {"crew": crew, "why": why},
            field="day",
        )


def refuse_outside(job: Job, day: date, why: str) -> None:
    """Refuse a day before the earliest or after the due one, unless a reason is given."""
    if why.strip():
        return
    if job.earliest_on is not None and day < job.earliest_on:
        raise UnableToSend(
            _("This job was not to go before %s. Choose a later day, or say why it goes earlier.")
            % job.earliest_on.isoformat(),
            field="why",
        )
    if job.due_on is not None and day > job.due_on:
        raise UnableToSend(
            _("This job was to be made by %s. Choose an earlier day, or say why it goes later.")
            % job.due_on.isoformat(),
            field="why",
        )


def refuse_facts(facts: JobFacts) -> None:
    """Refuse minutes, days and depths that cannot be."""
    if not 0 < facts.expected_minutes <= MOST_MINUTES:
        raise UnableToPlan(
            _("Expect at least one minute, and at most two weeks."), field="expected_minutes"
        )
    if facts.earliest_on and facts.due_on and facts.due_on < facts.earliest_on:
        raise UnableToPlan(_("It is due before it may begin. Correct either day."), field="due_on")
    refuse_depth(facts.planned_depth_in)


def refuse_depth(depth_in: float | None) -> None:
    """Refuse a depth that is none, and one that only an engineer may plan."""
    if depth_in is not None and depth_in <= 0:
        raise UnableToPlan(_("A depth lies above 0."), field="planned_depth_in")
    if depth_in is not None and depth_in > DEEPEST_IN:
        raise UnableToPlan(
            _(
                "Deeper than 20 ft needs an engineer's design (29 CFR 1926.652): such a hole is "
                "not planned here."
            ),
            field="planned_depth_in",
        )


def is_open(job: Job) -> bool:
    """Whether the job is planned or under way."""
    return job.state in OPEN_JOB_STATES
