"""What the verbs of jobs share: the guards of its state."""

from datetime import date, time

from django.utils.translation import gettext as _

from faults.cases.engines.working import WorkingDay
from faults.cases.services.working_days import (
    absent_words,
    minute_of,
    next_worked,
    off_words,
    working_on,
)
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


def refuse_without_reason(
    job: Job, crew: Crew, day: date, starts_at: time | None, why: str
) -> None:
    """Refuse a day or an hour at which the crew does not work, and a crew of less skill than
    needed, unless a reason is given."""
    if why.strip():
        return
    on = working_on(crew, day)
    words = {"crew": crew, "day": day.isoformat(), "missing": absent_words(on)}
    if on.off is not None:
        after = next_worked(crew, day)
        raise UnableToSend(
            _("%(crew)s does not work on %(day)s (%(off)s). ")
            % {**words, "off": off_words(on, day)}
            + (_("Its next working day is %s. ") % after.isoformat() if after else "")
            + _("Choose another day, or say why it goes then."),
            field="why",
        )
    if not on.people and on.absent:
        raise UnableToSend(
            _(
                "Nobody of %(crew)s is there on %(day)s: %(missing)s. Choose another crew, or say "
                "who goes."
            )
            % words,
            field="why",
        )
    if starts_at is not None and not on.holds(minute_of(starts_at), job.expected_minutes):
        raise UnableToSend(_outside_words(on, crew, starts_at, job), field="why")
    if on.people and on.skill < job.skill_needed:
        raise UnableToSend(
            _(
                "This job needs skill %(needed)s; the best in %(crew)s that day is %(held)s. "
                "Choose another crew, or say why they go."
            )
            % {**words, "needed": job.skill_needed, "held": on.skill}
            + (" " + _("Not there: %s.") % words["missing"] if words["missing"] else ""),
            field="why",
        )
    if 0 < on.people < job.people_needed:
        raise UnableToSend(
            _(
                "This job takes %(needed)s people; %(held)s of %(crew)s are there that day. Choose "
                "another crew, or say who else comes."
            )
            % {**words, "needed": job.people_needed, "held": on.people},
            field="why",
        )


def _outside_words(on: WorkingDay, crew: Crew, starts_at: time, job: Job) -> str:
    start = minute_of(starts_at)
    words = {
        "crew": crew,
        "since": clock(on.start),
        "until": clock(on.end),
        "from": clock(start),
        "to": clock(on.end_of(start, job.expected_minutes)),
    }
    told = _("%(crew)s works from %(since)s to %(until)s that day") % words
    if on.overtime:
        told += _(", with overtime to %s") % clock(on.latest)
    for begins, ends in on.rests:
        told += _(", with a break from %(a)s to %(b)s") % {"a": clock(begins), "b": clock(ends)}
    return (
        told
        + _(
            "; this would be from %(from)s to %(to)s. Choose another time, or say why it goes then."
        )
        % words
    )


def clock(minute: int) -> str:
    """Return a minute of the day as people read it; hours go on after midnight."""
    return f"{minute // 60:02}:{minute % 60:02}"


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
