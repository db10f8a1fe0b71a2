"""Verbs on what a station waters and when: changed from a day, or was wrong."""

from collections.abc import Mapping
from datetime import date

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import (
    UnableToChangeFrom,
    change_from,
    correct,
    last_row,
    row_before,
    take_back,
)
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Schedule, Station, StationFacts


class UnableToEndSchedule(UnableToAct):
    """A schedule that cannot end so."""


def facts_now(station: Station) -> StationFacts | None:
    """Return the facts that hold."""
    return last_row(station.facts)


@verb(
    name="change a station's facts from a day",
    action=Action.EDIT_REGISTER,
    guard="a day that has come, later than the first day of what holds; something differs",
    undo="take back a change of a station's facts",
)
def change_facts(
    *, station: Station, values: Mapping[str, object], on: date, today: date
) -> StationFacts:
    """Let other facts hold from a day on: area, flow, plants, efficiency."""
    new = StationFacts(station=station)
    return change_from(new, facts_now(station), on=on, values=values, today=today)


@verb(
    name="correct a station's facts",
    action=Action.EDIT_REGISTER,
    guard="what was wrong, in words; something differs",
    undo="correct them again, with the values that their history shows",
)
def correct_facts(*, facts: StationFacts, values: Mapping[str, object], why: str) -> None:
    """Put facts right for all the days that they hold."""
    correct(facts, values=values, why=why)


@verb(
    name="take back a change of a station's facts",
    action=Action.EDIT_REGISTER,
    guard="what was wrong, in words; there is a change",
    undo="change the station's facts from the same day again",
)
def take_back_facts(*, station: Station, why: str) -> None:
    """Undo the latest change: the facts before it hold again."""
    now = facts_now(station)
    take_back(now, row_before(station.facts, now), why=why)


@verb(
    name="change a schedule from a day",
    action=Action.EDIT_REGISTER,
    guard="later than the first day of the schedule that it follows; something differs",
    undo="take back a change of a schedule",
)
def change_schedule(
    *, station: Station, schedule: Schedule | None, values: Mapping[str, object], on: date
) -> Schedule:
    """End a schedule on a day and begin another; without one, begin it beside the others."""
    return change_from(Schedule(station=station), schedule, on=on, values=values, today=None)


@verb(
    name="correct a schedule",
    action=Action.EDIT_REGISTER,
    guard="what was wrong, in words; something differs",
    undo="correct it again, with the values that its history shows",
)
def correct_schedule(*, schedule: Schedule, values: Mapping[str, object], why: str) -> None:
    """Put a schedule right for all the days that it holds."""
    correct(schedule, values=values, why=why)


@verb(
    name="end a schedule",
    action=Action.EDIT_REGISTER,
    guard="it has not ended; a day after its first",
    undo="let a schedule go on",
)
def end_schedule(*, schedule: Schedule, on: date) -> None:
    """End a schedule on a day, with none after it."""
    if schedule.to_on is not None:
        raise UnableToEndSchedule(
            _("It ends on %s already.") % schedule.to_on.isoformat(), field="on"
        )
    if on <= schedule.from_on:
        raise UnableToChangeFrom(
            _("It began on %s. Give a later day, or say that it was wrong.")
            % schedule.from_on.isoformat(),
            field="on",
        )
    schedule.to_on = on
    schedule.save()


@verb(
    name="take back a change of a schedule",
    action=Action.EDIT_REGISTER,
    guard="what was wrong, in words",
    undo="change the schedule from the same day again",
)
def take_back_schedule(*, schedule: Schedule, why: str) -> None:
    """Undo the latest change: the schedule before it holds again, or an ended one goes on."""
    if schedule.to_on is not None:
        raise UnableToEndSchedule(_("It has ended: let it go on first."))
    take_back(schedule, row_before(schedule.station.schedules, schedule), why=why)


@verb(
    name="let a schedule go on",
    action=Action.EDIT_REGISTER,
    guard="it ended, and nothing followed it on that day; what was wrong, in words",
    undo="end a schedule",
)
def go_on_with_schedule(*, schedule: Schedule, why: str) -> None:
    """Take back the end of a schedule."""
    if schedule.to_on is None or schedule.to_on == schedule.from_on:
        raise UnableToEndSchedule(_("It has not ended."))
    later = schedule.station.schedules.filter(from_on=schedule.to_on).exclude(to_on=schedule.to_on)
    if later.exists():
        raise UnableToEndSchedule(_("Another schedule followed it. Take that one back first."))
    schedule.to_on = None
    save_because(schedule, f"was wrong: {why}")
