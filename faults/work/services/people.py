"""Who was there on a visit, from when to when, doing what; their minutes are the visit's."""

import zoneinfo
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from django.utils.translation import gettext as _

from faults.models import DID_CHOICES, Job, JobState, PersonThere
from faults.work.services.told import UnableToWork
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import verb
from sites.models import Property, User

# Longer than anybody works at a stretch: then the times are mistyped.
LONGEST = timedelta(hours=16)
# Entered while packing up: the end is typed as a round time.
AHEAD = timedelta(minutes=15)


@dataclass(frozen=True)
class Times:
    """When people were there, as clocks at the property show it; past midnight is the next day."""

    on: date
    starts: time
    ends: time

    def at(self, place: Property) -> tuple[datetime, datetime]:
        """Return the moments of arriving and leaving."""
        zone = zoneinfo.ZoneInfo(place.time_zone)
        last_on = self.on + timedelta(days=self.ends <= self.starts)
        both = (
            datetime.combine(self.on, self.starts, zone),
            datetime.combine(last_on, self.ends, zone),
        )
        return both[0].astimezone(UTC), both[1].astimezone(UTC)


@verb(
    name="note who was there",
    action=Action.WORK_JOBS,
    guard="the job was not withdrawn; at least one person; they left after they came, within 16 h, "
    "and not ahead; nobody is at two places at once",
    undo="strike out who was there",
)
def note_people(
    *, job: Job, people: Sequence[User], others: Sequence[str], did: str, times: Times,
    by: User, at: datetime,
) -> list[PersonThere]:  # fmt: skip
    """Enter people who were there together, with the same work and the same times.

    Args:
        others: names of helpers who have no account.
    """
    if job.state == JobState.WITHDRAWN:
        raise UnableToWork(_("This job was withdrawn. Bring it back first."))
    names = list(dict.fromkeys(each for each in (" ".join(n.split()) for n in others) if each))
    if not people and not names:
        raise UnableToWork(_("Who was there? Tick a person, or type a name."), field="people")
    made = [PersonThere(job=job, user=user, name=user_words(user)) for user in people]
    made += [PersonThere(job=job, name=name[:150]) for name in names]
    for row in made:
        row.entered_by = by
    _set(made, did, times, at)
    for row in made:
        row.save()
    return made


@verb(
    name="correct who was there",
    action=Action.WORK_JOBS,
    guard="it stands; what was wrong, in words; as noting it",
    undo="correct it again, with the values that its history shows",
)
def correct_person(*, person: PersonThere, did: str, times: Times, why: str, at: datetime) -> None:
    """Correct what one person did, or from when to when."""
    reason = was_wrong(why)
    if person.removed_on is not None:
        raise UnableToWork(_("This is struck out. Put it back first."))
    _set([person], did, times, at)
    save_because(person, reason)


@verb(
    name="strike out who was there",
    action=Action.WORK_JOBS,
    guard="it stands; what was wrong, in words",
    undo="put back who was there",
)
def remove_person(*, person: PersonThere, why: str, today: date) -> None:
    """Strike a person out: the minutes count nowhere, and stay readable."""
    reason = was_wrong(why)
    if person.removed_on is not None:
        raise UnableToWork(_("This is struck out already."))
    person.removed_on = today
    save_because(person, reason)


@verb(
    name="put back who was there",
    action=Action.WORK_JOBS,
    guard="it is struck out; nobody is at two places at once",
    undo="strike out who was there",
)
def put_person_back(*, person: PersonThere) -> None:
    """Let the minutes of a person count again."""
    if person.removed_on is None:
        raise UnableToWork(_("This stands already."))
    person.removed_on = None
    _refuse_two_places([person])
    person.save()


def user_words(user: User) -> str:
    """Return the name of a user, as it is kept with the minutes."""
    return user.get_full_name() or user.get_username()


def is_entered(job: Job, user: User | None, name: str, did: str, times: Times) -> bool:
    """Return whether exactly this stands already, as where two phones of a crew sent it."""
    start, end = times.at(job.property)
    rows = PersonThere.objects.standing().filter(job=job, did=did, from_at=start)
    same = rows.filter(user=user) if user is not None else rows.filter(user=None, name=name)
    return any(row.to_at == end for row in same)


def _set(rows: Sequence[PersonThere], did: str, times: Times, at: datetime) -> None:
    if did not in dict(DID_CHOICES):
        raise UnableToWork(_("What was done? Choose one."), field="did")
    start, end = times.at(rows[0].job.property)
    if end - start > LONGEST:
        raise UnableToWork(
            _("That is longer than 16 hours. Correct from when, or until when."), field="ends"
        )
    if end > at + AHEAD:
        raise UnableToWork(
            _("This end has not come yet. Enter it when the visit is over."), field="ends"
        )
    for row in rows:
        row.did, row.from_at = did, start
        row.minutes = round((end - start).total_seconds() / 60)
    _refuse_two_places(rows)


def _refuse_two_places(rows: Sequence[PersonThere]) -> None:
    keys = [row.user_id for row in rows if row.user_id is not None]
    # Two phones at once: the second waits here until the first has written its rows.
    list(User.objects.select_for_update(no_key=True).filter(pk__in=keys).order_by("pk"))
    for row in rows:
        others = PersonThere.objects.standing().exclude(pk=row.pk)
        others = others.filter(from_at__lt=row.to_at, from_at__gt=row.from_at - LONGEST)
        if row.user_id is not None:
            others = others.filter(user=row.user_id)
        else:
            others = others.filter(job=row.job_id, user=None, name__iexact=row.name)
        for other in others.select_related("job__property").order_by("from_at", "pk"):
            if other.to_at > row.from_at:
                raise UnableToWork(_at_another(other), field="starts")


def _at_another(other: PersonThere) -> str:
    words = {
        "who": other.name,
        "job": other.job,
        "from": other.local_from.strftime("%Y-%m-%d %H:%M"),
        "to": other.local_to.strftime("%H:%M"),
    }
    told = _(
        "%(who)s is entered at %(job)s from %(from)s to %(to)s already. Correct that, or choose "
        "other times."
    )
    return told % words
