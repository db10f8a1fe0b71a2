"""Set the weekdays of crews and people, and say on which days a person is not there."""

from collections.abc import Mapping
from datetime import date, time
from types import MappingProxyType

from django.db.models import F
from django.utils.translation import gettext as _

from faults.models import AwayFor, Crew, CrewMember, PersonAway, WorkDay
from faults.work.services.crew_facts import UnableToSetUpCrew
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import verb
from sites.models import User

# The hours of each weekday that is worked, Monday = 0; None = the usual ones.
WeekFacts = Mapping[int, tuple[time, time] | None]
# The breaks of weekdays on which they differ from the usual one.
BreakFacts = Mapping[int, tuple[time, time]]
_NO_BREAKS: BreakFacts = MappingProxyType({})


@verb(
    name="set the weekdays of a crew",
    action=Action.SET_UP_WORK,
    guard="at least one weekday; hours and breaks end after they begin; a break lies in the hours",
    undo="set them as they were; the history shows them",
)
def set_crew_week(*, crew: Crew, week: WeekFacts, breaks: BreakFacts = _NO_BREAKS) -> None:
    """Keep on which weekdays a crew works; a day without hours or break has those of the crew."""
    if not week:
        raise UnableToSetUpCrew(
            _("Tick at least one day. A crew that works no more is retired instead.")
        )
    _set(week, breaks, usual=(crew.starts_at, crew.ends_at), crew=crew)


@verb(
    name="set the weekdays of a person",
    action=Action.SET_UP_WORK,
    guard="hours and breaks end after they begin; a break lies in the hours",
    undo="set them as they were; the history shows them",
)
def set_person_week(
    *, member: CrewMember, week: WeekFacts, breaks: BreakFacts = _NO_BREAKS
) -> None:
    """Keep on which weekdays a person works, in whichever crew; none = as the crew does."""
    usual = (member.crew.starts_at, member.crew.ends_at)
    _set(week, breaks, usual=usual, user=member.user)


def _refuse_break(weekday: int, pause: tuple[time, time], hours: tuple[time, time]) -> None:
    if pause[1] <= pause[0]:
        raise UnableToSetUpCrew(
            _("The break must end after it begins."), field=f"break_to_{weekday}"
        )
    if pause[0] <= hours[0] or pause[1] >= hours[1]:
        raise UnableToSetUpCrew(
            _("The break lies between start and end of work. Correct a time."),
            field=f"break_from_{weekday}",
        )


def _set(
    week: WeekFacts,
    breaks: BreakFacts,
    *,
    usual: tuple[time, time],
    crew: Crew | None = None,
    user: User | None = None,
) -> None:
    for weekday, hours in week.items():
        if hours is not None and hours[1] <= hours[0]:
            raise UnableToSetUpCrew(_("It must end after it begins."), field=f"until_{weekday}")
    for weekday, pause in breaks.items():
        if weekday not in week:
            raise UnableToSetUpCrew(
                _("Tick the day too, or take its hours out."), field=f"works_{weekday}"
            )
        _refuse_break(weekday, pause, week[weekday] or usual)
    known = {row.weekday: row for row in WorkDay.objects.filter(crew=crew, user=user)}
    for weekday, row in known.items():
        if weekday not in week:
            row.delete()
    for weekday, hours in sorted(week.items()):
        row = known.get(weekday) or WorkDay(crew=crew, user=user, weekday=weekday)
        wanted = (*(hours or (None, None)), *(breaks.get(weekday) or (None, None)))
        if row.pk is None or wanted != (row.starts_at, row.ends_at, row.break_from, row.break_to):
            row.starts_at, row.ends_at, row.break_from, row.break_to = wanted
            row.save()


@verb(
    name="say that a person is away",
    action=Action.SET_UP_WORK,
    guard="it ends after it begins; the person is not away on some of those days already",
    undo="take back that a person is away",
)
def add_person_away(
    *, member: CrewMember, from_on: date, to_on: date, kind: str = AwayFor.ILL, why: str = ""
) -> PersonAway:
    """Keep days on which a person is ill or away. The crew is smaller then, and its jobs stay."""
    if to_on <= from_on:
        raise UnableToSetUpCrew(_("It cannot end before it begins."), field="last_on")
    rows = PersonAway.objects.filter(user=member.user).exclude(from_on=F("to_on"))
    if rows.filter(from_on__lt=to_on, to_on__gt=from_on).exists():
        raise UnableToSetUpCrew(
            _("%s is away on some of those days already. Take those back first.") % member.user,
            field="from_on",
        )
    return PersonAway.objects.create(
        user=member.user, from_on=from_on, to_on=to_on, kind=kind, why=why.strip()
    )


@verb(
    name="take back that a person is away",
    action=Action.SET_UP_WORK,
    guard="the person is away on some day",
    undo="say that the person is away",
)
def take_back_person_away(*, away: PersonAway) -> None:
    """Let the person work on those days after all. The line stays in the history, with no day."""
    if away.to_on == away.from_on:
        raise UnableToSetUpCrew(_("This was taken back already."))
    away.to_on = away.from_on
    away.save()
