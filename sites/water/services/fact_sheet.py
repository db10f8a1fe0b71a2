"""Fill in what is missing of many stations at once: all of it, or nothing with every reason.

Each value goes through the verb of its own form, so that guard, history and what follows are the
same. "Never written down" is an answer too: it is kept, and the figure stays not known.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from enum import Enum
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.locking import lock_and_reload
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import (
    NotWritten,
    Property,
    RunBy,
    Station,
    StationFacts,
    StopgapKind,
)
from sites.register.services.facts import change_schedule, correct_facts, correct_schedule
from sites.register.services.property_facts import change_station
from sites.stopgaps.services.batteries import correct_battery
from sites.stopgaps.services.stopgaps import say_main_valve
from sites.water.engines.inputs import Lacks
from sites.water.queries.fact_sheet import BATTERY, FACTS, MAIN, OWN, SCHEDULE, SECOND_COIL, FactRow


class Answer(Enum):
    """What a cell may say beside a value."""

    NEVER = "never written down"
    # The cell said so, and does no more.
    ASK_AGAIN = "ask again"


# (reference of the station, column): the value in the stored unit, or an answer.
Cells = Mapping[tuple[str, str], object]


class UnableToFillIn(UnableToAct):
    """Nothing was written. `problems` holds the name of each cell with what is wrong."""

    def __init__(self, problems: Sequence[tuple[str, str]]) -> None:
        super().__init__(problems[0][1], field=problems[0][0])
        self.problems = problems


def cell_name(ref: str, column: str) -> str:
    """Return the name of a cell in the form."""
    return f"{column}-{ref}"


@verb(
    name="fill in missing facts of stations",
    action=Action.EDIT_REGISTER,
    guard="what is filled in is missing still; for each value as its own verb; all of it or none",
    undo="correct each value again, as its own form does",
)
def fill_in_facts(*, place: Property, rows: Sequence[FactRow], cells: Cells, today: date) -> int:
    """Keep the cells of a sheet, and return how many.

    Raises:
        UnableToFillIn: with the problem of each cell; nothing is kept.
    """
    if not cells:
        raise UnableToAct(_("Nothing is filled in yet."))
    problems: list[tuple[str, str]] = []
    # What another person has filled in meanwhile is seen by this, and not written over.
    lock_and_reload(part for row in rows for part in row.parts)
    for row in rows:
        own = {name: value for (ref, name), value in cells.items() if ref == row.station.ref}
        meanwhile = list(_meanwhile(row, own))
        problems += meanwhile
        # The others are tried too, so that every problem is named at once.
        for names, call in () if meanwhile else _calls(row, own, today):
            try:
                with transaction.atomic():
                    call()
            except UnableToAct as refusal:
                problems.append((cell_name(row.station.ref, names[0]), str(refusal)))
    if problems:
        raise UnableToFillIn(problems)
    return len(cells)


def _meanwhile(row: FactRow, own: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    """Refuse what somebody else has filled in since the sheet was opened."""
    for name, value in own.items():
        if isinstance(value, Answer) or row.is_asked(name):
            continue
        if name == MAIN and "depends_on" in own and row.stands_behind_a_main():
            continue  # asked once it is known on what it depends, which this sheet says
        known = row.value(name)
        if name == SECOND_COIL and known is None:
            continue  # the first was filled in meanwhile: by somebody who may not have seen two
        if known not in (None, ""):
            words = _("%s stands here already. Empty this cell, or correct it on the station.")
            yield cell_name(row.station.ref, name), words % known
        else:
            yield cell_name(row.station.ref, name), _("This does not apply here. Empty this cell.")


Call = tuple[Sequence[str], Any]


def _calls(row: FactRow, own: Mapping[str, object], today: date) -> Iterator[Call]:
    """Yield the verbs that a row needs, each with the columns that it fills."""
    answers = {name: value for name, value in own.items() if isinstance(value, Answer)}
    values = {name: value for name, value in own.items() if name not in answers}
    if answers:
        yield list(answers), lambda: _answer(row.station, answers, today)
    # First what it depends on: how its master valve runs rests on that.
    if facts := _of(OWN, values):
        yield list(facts), lambda: change_station(station=row.station, values=facts)
    if watered := _of(FACTS, values):
        target = row.facts or StationFacts(station=row.station)
        yield (
            list(watered),
            lambda: correct_facts(facts=target, values=watered, why=_not_written()),
        )
    if times := _of(SCHEDULE, values):
        yield list(times), lambda: _fill_schedule(row, times)
    if MAIN in values:
        unsaid = [each for each in row.stopgaps if not each.main_valve]
        asked = [each for each in unsaid if each.kind != StopgapKind.SHUT_OFF]
        for each in asked:
            each.station = row.station
        main = str(values[MAIN])
        yield [MAIN], lambda: say_main_valve(stopgaps=asked, main_valve=main)
    if battery := _of(BATTERY, values):
        yield list(battery), lambda: _fill_battery(row, battery, today)


def _of(names: Iterable[str], values: Mapping[str, object]) -> dict[str, Any]:
    return {name: values[name] for name in names if name in values}


def _not_written() -> str:
    return _("not written down before")


def _fill_schedule(row: FactRow, times: dict[str, Any]) -> None:
    """Complete the schedule that holds; without one, begin it on the day it went off central."""
    if row.schedule is not None:
        correct_schedule(schedule=row.schedule, values=times, why=_not_written())
        return
    if "minutes" not in times:
        raise UnableToAct(_("Without its minutes a schedule says nothing. Fill them in too."))
    assert row.spell is not None  # else the sheet does not ask
    values = {"days": "", "starts": "", "notes": "", "run_by": _runs(row), **times}
    change_schedule(station=row.station, schedule=None, values=values, on=row.spell.from_on)


def _runs(row: FactRow) -> str:
    by_kind = {StopgapKind.BATTERY_TIMER: RunBy.TIMER, StopgapKind.BY_HAND: RunBy.HAND}
    standing = row.standing
    # Where nothing stands in, its clock runs on: only the link is lost.
    return (
        by_kind.get(StopgapKind(standing.kind), RunBy.CONTROLLER) if standing else RunBy.CONTROLLER
    )


def _fill_battery(row: FactRow, battery: dict[str, Any], today: date) -> None:
    device = row.device
    assert device is not None  # else the sheet does not ask
    correct_battery(
        device=device,
        on=battery.get("battery_changed_on", device.battery_changed_on),
        kind=battery.get("battery_kind", device.battery_kind),
        why=_not_written(),
        today=today,
    )


def _answer(station: Station, answers: Mapping[str, Answer], today: date) -> None:
    for fact, answer in answers.items():
        if answer is Answer.NEVER:
            NotWritten.objects.get_or_create(
                station=station, fact=fact, defaults={"said_on": today}
            )
        else:
            for said in NotWritten.objects.filter(station=station, fact=fact):
                said.delete()


# Which lack of a meter a column ends.
ENDS = {
    "area_sqft": Lacks.AREA,
    "flow_gpm": Lacks.FLOW,
    "plant_factor": Lacks.PLANT_FACTOR,
    "efficiency": Lacks.EFFICIENCY,
    "minutes": Lacks.SCHEDULE,
    "days": Lacks.DAYS,
    MAIN: Lacks.MAIN,
}


def would_be_known(rows: Iterable[FactRow], cells: Cells) -> int:
    """Return how many meters more would be known with these cells: those that lack nothing else."""
    filled: dict[str, set[str]] = {}
    for (ref, name), value in cells.items():
        if not isinstance(value, Answer):
            filled.setdefault(ref, set()).add(name)
    return sum(_becomes_known(row, filled.get(row.station.ref, set())) for row in rows)


def _becomes_known(row: FactRow, filled: set[str]) -> bool:
    meter = row.meter
    if meter is None or meter.months_known == meter.months or not filled:
        return False
    # The price is no part of the water.
    lacks = {each for each in meter.lacks.split(";") if each} & {each.value for each in Lacks}
    if row.schedule is None and "minutes" in filled:
        lacks.add(Lacks.DAYS)
    return lacks <= {ENDS[name] for name in filled if name in ENDS}
