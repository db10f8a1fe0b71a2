"""When crews work on days, read in a fixed number of queries: the one place that says it."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, time, timedelta
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from django.db.models import Q
from django.utils.translation import gettext as _

from faults.cases.engines.working import (
    Hours,
    Off,
    Pause,
    Pauses,
    Person,
    Week,
    WorkingDay,
    working_day,
)
from faults.models import ClosedDay, Crew, CrewAway, CrewMember, PersonAway, WorkDay

Slot = tuple[int, date]
LOOKS_AHEAD_DAYS = 30


def working_days(crews: Collection[Crew], days: Collection[date]) -> dict[Slot, WorkingDay]:
    """Return what each crew can do on each day."""
    if not crews or not days:
        return {}
    book = _Book(crews, min(days), max(days))
    return {(crew.pk, day): book.day(crew, day) for crew in crews for day in days}


def working_on(crew: Crew, day: date) -> WorkingDay:
    """Return what one crew can do on one day."""
    return working_days([crew], [day])[crew.pk, day]


def next_worked(crew: Crew, after: date) -> date | None:
    """Return the first day after another on which the crew works; None within a month."""
    days = [after + timedelta(days=n) for n in range(1, LOOKS_AHEAD_DAYS + 1)]
    found = working_days([crew], days)
    return next((day for day in days if found[crew.pk, day].is_worked), None)


def off_words(on: WorkingDay, day: date) -> str:
    """Return why a crew does not work on a day; empty where it does."""
    if on.off is Off.AWAY:
        return _("away: %s") % on.why if on.why else _("away")
    if on.off is Off.HOLIDAY:
        return _("holiday: %s") % on.why
    return _("not worked on %s") % weekday_name(day.weekday()) if on.off else ""


def absent_words(on: WorkingDay) -> str:
    """Return who of a crew is not there; empty where all are.

    Why is for those who set up crews: an illness is nobody else's business.
    """
    return ", ".join(on.absent)


def weekday_name(weekday: int) -> str:
    """Return the name of a weekday, Monday = 0."""
    names = (
        _("Monday"),
        _("Tuesday"),
        _("Wednesday"),
        _("Thursday"),
        _("Friday"),
        _("Saturday"),
        _("Sunday"),
    )
    return names[weekday]


def minute_of(at: time) -> int:
    """Return the minute of the day."""
    return at.hour * 60 + at.minute


def overtime_percent(crew: Crew) -> int:
    """Return what a minute of overtime costs in per cent of an ordinary one, rounded up."""
    if crew.hour_costs is None or crew.overtime_hour_costs is None:
        return 100
    return ceil(100 * crew.overtime_hour_costs / crew.hour_costs)


def overtime_costs(crew: Crew, minutes: int) -> Decimal | None:
    """Return what minutes of overtime cost, to the cent, half up; None where nobody said it."""
    if crew.overtime_hour_costs is None:
        return None
    return (crew.overtime_hour_costs * minutes / 60).quantize(Decimal("0.01"), ROUND_HALF_UP)


class _Book:
    """All that says when these crews work, from one day to another; both included."""

    def __init__(self, crews: Collection[Crew], first: date, last: date) -> None:
        rows = CrewMember.objects.filter(crew__in=crews, from_on__lte=last)
        rows = rows.filter(Q(to_on__isnull=True) | Q(to_on__gt=first)).select_related("user")
        self.members: dict[int, list[CrewMember]] = defaultdict(list)
        for member in rows.order_by("pk"):
            self.members[member.crew_id].append(member)
        people = {one.user_id for some in self.members.values() for one in some}
        self.weeks, self.own_weeks, self.breaks, self.own_breaks = _weeks(crews, people)
        self.away = _by_owner(
            CrewAway.objects.filter(crew__in=crews, from_on__lte=last, to_on__gt=first), "crew_id"
        )
        self.ill = _by_owner(
            PersonAway.objects.filter(user__in=people, from_on__lte=last, to_on__gt=first),
            "user_id",
        )
        self.holidays = _holidays(crews, first, last)

    def day(self, crew: Crew, day: date) -> WorkingDay:
        away = _on(self.away.get(crew.pk, ()), day)
        return working_day(
            day,
            usual=Hours(minute_of(crew.starts_at), minute_of(crew.ends_at)),
            week=self.weeks.get(crew.pk, {}),
            pause=_pause(crew.break_from, crew.break_to),
            second=_pause(crew.second_break_from, crew.second_break_to),
            pauses=self.breaks.get(crew.pk, {}),
            away=away.why if isinstance(away, CrewAway) else None,
            holiday=self.holidays.get((crew.holidays_id or 0, day)),
            people=[
                self._person(member, day)
                for member in self.members.get(crew.pk, ())
                if member.from_on <= day and (member.to_on is None or day < member.to_on)
            ],
            overtime=crew.overtime_minutes or 0,
            overtime_percent=overtime_percent(crew),
        )

    def _person(self, member: CrewMember, day: date) -> Person:
        is_away = _on(self.ill.get(member.user_id, ()), day) is not None
        name = member.user.get_full_name() or str(member.user)
        return Person(
            name,
            member.skill,
            self.own_weeks.get(member.user_id, {}),
            is_away,
            self.own_breaks.get(member.user_id, {}),
        )


def _pause(begins: time | None, ends: time | None) -> Pause | None:
    return None if begins is None or ends is None else (minute_of(begins), minute_of(ends))


def _on(rows: Sequence[CrewAway | PersonAway], day: date) -> CrewAway | PersonAway | None:
    return next((row for row in rows if row.from_on <= day < row.to_on), None)


def _by_owner(rows: "object", name: str) -> dict[int, list[CrewAway | PersonAway]]:
    found: dict[int, list[CrewAway | PersonAway]] = defaultdict(list)
    for row in rows.order_by("from_on", "pk"):  # type: ignore[attr-defined]
        found[getattr(row, name)].append(row)
    return found


def _weeks(
    crews: Collection[Crew], people: Collection[int]
) -> tuple[dict[int, Week], dict[int, Week], dict[int, Pauses], dict[int, Pauses]]:
    """Return the weeks of crews and of people by their keys, then their breaks."""
    of_crews: dict[int, dict[int, Hours | None]] = defaultdict(dict)
    of_people: dict[int, dict[int, Hours | None]] = defaultdict(dict)
    breaks: dict[int, dict[int, Pause]] = defaultdict(dict)
    own_breaks: dict[int, dict[int, Pause]] = defaultdict(dict)
    rows = WorkDay.objects.filter(Q(crew__in=crews) | Q(user__in=people))
    for row in rows.order_by("pk"):
        hours = None
        if row.starts_at is not None and row.ends_at is not None:
            hours = Hours(minute_of(row.starts_at), minute_of(row.ends_at))
        if row.crew_id is not None:
            of_crews[row.crew_id][row.weekday] = hours
        elif row.user_id is not None:
            of_people[row.user_id][row.weekday] = hours
        if row.break_from is not None and row.break_to is not None:
            pause = minute_of(row.break_from), minute_of(row.break_to)
            of = breaks[row.crew_id] if row.crew_id is not None else own_breaks[row.user_id or 0]
            of[row.weekday] = pause
    return dict(of_crews), dict(of_people), dict(breaks), dict(own_breaks)


def _holidays(crews: Collection[Crew], first: date, last: date) -> dict[Slot, str]:
    sets = {crew.holidays_id for crew in crews if crew.holidays_id}
    if not sets:
        return {}
    rows = ClosedDay.objects.filter(of__in=sets, is_closed=True, on__range=(first, last))
    return {(row.of_id, row.on): row.name for row in rows.order_by("pk")}
