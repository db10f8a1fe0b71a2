"""Set up crews: the vehicle and its hours, who goes with it, and the days it does not work."""

from datetime import date

from django.db.models import F, Q
from django.utils.translation import gettext as _

from faults.models import Crew, CrewAway, CrewMember, JobState, WorkDay
from faults.work.services.crew_facts import (
    CrewFacts,
    UnableToSetUpCrew,
    refuse_breaks,
    refuse_overtime,
)
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because, was_wrong
from sites.kernel.services.verbs import verb
from sites.models import User

WORKING_WEEK = range(5)


@verb(
    name="add a crew",
    action=Action.SET_UP_WORK,
    guard="the name is free; it is back after it starts; its breaks end after they begin, lie in "
    "its hours and not at the same time; overtime says how long and what it costs; the yard has "
    "latitude and longitude",
    undo="retire a crew",
)
def add_crew(*, facts: CrewFacts) -> Crew:
    """Add a crew that can be sent; at first it works from Monday to Friday."""
    crew = Crew()
    _keep(crew, facts)
    for weekday in WORKING_WEEK:
        WorkDay.objects.create(crew=crew, weekday=weekday)
    return crew


@verb(
    name="change a crew",
    action=Action.SET_UP_WORK,
    guard="as adding one",
    undo="change it back, with the values that its history shows",
)
def change_crew(*, crew: Crew, facts: CrewFacts) -> None:
    """Change the name, the vehicle, the hours or the yard."""
    _keep(crew, facts)


def _keep(crew: Crew, facts: CrewFacts) -> None:
    name = " ".join(facts.name.split())
    if not name:
        raise UnableToSetUpCrew(_("What is the crew called?"), field="name")
    if Crew.objects.filter(name__iexact=name).exclude(pk=crew.pk).exists():
        raise UnableToSetUpCrew(
            _("Another crew is called %s, perhaps a retired one. Choose another name.") % name,
            field="name",
        )
    if facts.ends_at <= facts.starts_at:
        raise UnableToSetUpCrew(
            _("It must be back later on the day than it starts."), field="ends_at"
        )
    refuse_breaks(facts)
    refuse_overtime(facts)
    if (facts.yard_latitude is None) != (facts.yard_longitude is None):
        raise UnableToSetUpCrew(
            _("The yard needs latitude and longitude, or neither."), field="yard_longitude"
        )
    crew.name, crew.vehicle = name, facts.vehicle.strip()
    crew.starts_at, crew.ends_at = facts.starts_at, facts.ends_at
    crew.yard_latitude, crew.yard_longitude = facts.yard_latitude, facts.yard_longitude
    crew.break_from, crew.break_to = facts.break_from, facts.break_to
    crew.second_break_from, crew.second_break_to = facts.second_break_from, facts.second_break_to
    crew.holidays = facts.holidays
    crew.overtime_minutes, crew.hour_costs = facts.overtime_minutes, facts.hour_costs
    crew.overtime_hour_costs, crew.costs_currency = facts.overtime_hour_costs, facts.costs_currency
    crew.save()


@verb(
    name="retire a crew",
    action=Action.SET_UP_WORK,
    guard="it is not retired; no open job is assigned to it for that day or later, none is started",
    undo="bring a crew back",
)
def retire_crew(*, crew: Crew, on: date) -> None:
    """Retire a crew: it gets no more jobs from a day on."""
    if crew.retired_on is not None:
        raise UnableToSetUpCrew(_("This crew is retired already."))
    still = Q(day__gte=on, state=JobState.PLANNED) | Q(state=JobState.STARTED)
    if jobs := crew.jobs.filter(still).count():
        raise UnableToSetUpCrew(
            _("%(n)s of its jobs are still open. Give them to another crew or finish them first.")
            % {"n": jobs},
            field="on",
        )
    crew.retired_on = on
    crew.save()


@verb(
    name="bring a crew back",
    action=Action.SET_UP_WORK,
    guard="it is retired",
    undo="retire a crew",
)
def bring_crew_back(*, crew: Crew) -> None:
    """Bring a retired crew back: it may be sent again."""
    if crew.retired_on is None:
        raise UnableToSetUpCrew(_("This crew is not retired."))
    crew.retired_on = None
    crew.save()


@verb(
    name="put somebody in a crew",
    action=Action.SET_UP_WORK,
    guard="the person is in no crew on those days; it ends after it begins; the crew is in use",
    undo="take somebody out of a crew on the day of joining",
)
def add_member(
    *, crew: Crew, user: User, skill: int, from_on: date, to_on: date | None = None
) -> CrewMember:
    """Put a person in a crew from a day on, with the skill that the person holds."""
    if crew.retired_on is not None:
        raise UnableToSetUpCrew(_("This crew is retired. Bring it back first."))
    member = CrewMember(crew=crew, user=user, skill=skill, from_on=from_on, to_on=to_on)
    _refuse_member(member)
    member.save()
    return member


@verb(
    name="take somebody out of a crew",
    action=Action.SET_UP_WORK,
    guard="the person is still in it; a day from the day of joining on",
    undo="correct who was in a crew",
)
def end_member(*, member: CrewMember, on: date) -> None:
    """End a membership: the person goes with the crew up to the day before."""
    if member.to_on is not None:
        raise UnableToSetUpCrew(_("This membership has ended already."))
    member.to_on = on
    _refuse_member(member)
    member.save()


@verb(
    name="change somebody's skill from a day",
    action=Action.SET_UP_WORK,
    guard="the person is still in the crew; another skill; later than the day of joining",
    undo="correct who was in a crew",
)
def change_skill(*, member: CrewMember, skill: int, from_on: date) -> CrewMember:
    """Change a member's skill from a day on; the earlier skill stays in history."""
    if member.to_on is not None:
        raise UnableToSetUpCrew(_("This membership has ended. Put the person in the crew again."))
    if skill == member.skill:
        raise UnableToSetUpCrew(_("The person holds this skill already."), field="skill")
    if from_on <= member.from_on:
        raise UnableToSetUpCrew(
            _("This skill holds from %s on. Choose a later day, or correct what was wrong.")
            % member.from_on.isoformat(),
            field="from_on",
        )
    member.to_on = from_on
    member.save()
    return CrewMember.objects.create(
        crew=member.crew, user=member.user, skill=skill, from_on=from_on
    )


@verb(
    name="correct who was in a crew",
    action=Action.SET_UP_WORK,
    guard="what was wrong, in words; the person is in no other crew on those days",
    undo="correct it again, with the values that its history shows",
)
def correct_member(
    *, member: CrewMember, skill: int, from_on: date, to_on: date | None, why: str
) -> None:
    """Correct the skill or the days of a membership."""
    reason = was_wrong(why)
    member.skill, member.from_on, member.to_on = skill, from_on, to_on
    _refuse_member(member)
    save_because(member, reason)


def _refuse_member(member: CrewMember) -> None:
    if member.to_on is not None and member.to_on < member.from_on:
        raise UnableToSetUpCrew(
            _("It cannot end before it began on %s.") % member.from_on.isoformat(), field="on"
        )
    others = CrewMember.objects.filter(user=member.user).exclude(pk=member.pk)
    others = others.exclude(to_on=F("from_on"))
    still = others.filter(Q(to_on__isnull=True) | Q(to_on__gt=member.from_on))
    if member.to_on is not None:
        still = still.filter(from_on__lt=member.to_on)
    if other := still.select_related("crew").order_by("from_on", "pk").first():
        raise UnableToSetUpCrew(
            _("%(who)s is in %(crew)s on those days (from %(day)s). End that first.")
            % {"who": member.user, "crew": other.crew, "day": other.from_on.isoformat()},
            field="user",
        )


@verb(
    name="say that a crew is away",
    action=Action.SET_UP_WORK,
    guard="it ends after it begins; no other days away lie in it",
    undo="take back that a crew is away",
)
def add_away(*, crew: Crew, from_on: date, to_on: date, why: str = "") -> CrewAway:
    """Keep days on which a crew does not work. Jobs on those days stay, and show a clash."""
    away = CrewAway(crew=crew, from_on=from_on, to_on=to_on, why=why.strip())
    if to_on == from_on:
        raise UnableToSetUpCrew(_("That is no day at all."), field="last_on")
    _refuse_away(away)
    away.save()
    return away


@verb(
    name="take back that a crew is away",
    action=Action.SET_UP_WORK,
    guard="it is away on some day",
    undo="correct when a crew is away",
)
def take_back_away(*, away: CrewAway) -> None:
    """Let the crew work on those days after all. The line stays in the history, with no day."""
    if away.to_on == away.from_on:
        raise UnableToSetUpCrew(_("This was taken back already."))
    away.to_on = away.from_on
    away.save()


@verb(
    name="correct when a crew is away",
    action=Action.SET_UP_WORK,
    guard="it does not end before it begins; no other days away lie in it",
    undo="correct it again, with the values that its history shows",
)
def correct_away(*, away: CrewAway, from_on: date, to_on: date, why: str = "") -> None:
    """Correct the days away, or the reason."""
    away.from_on, away.to_on, away.why = from_on, to_on, why.strip()
    _refuse_away(away)
    away.save()


def _refuse_away(away: CrewAway) -> None:
    if away.to_on < away.from_on:
        raise UnableToSetUpCrew(_("It cannot end before it begins."), field="last_on")
    # A line with no day in it was taken back: it stands in nobody's way.
    others = CrewAway.objects.filter(crew=away.crew).exclude(pk=away.pk)
    others = others.exclude(from_on=F("to_on"))
    if others.filter(from_on__lt=away.to_on, to_on__gt=away.from_on).exists():
        raise UnableToSetUpCrew(
            _("The crew is away on some of those days already. Correct those days instead."),
            field="from_on",
        )
