"""Verbs on devices: a battery set is changed for all valves of the device in one visit."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise
from typing import Any

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import BatteryFound, Device


class UnableToChangeBattery(UnableToAct):
    """A battery change that cannot be so."""


@dataclass(frozen=True)
class BatteryChange:
    """One set of batteries, as history tells: since when, which kind, who wrote it down."""

    on: date | None
    kind: str
    by: str
    at: datetime
    why: str
    found: str = ""


@verb(
    name="change a battery set",
    action=Action.CHANGE_STOPGAPS,
    guard="a day that has come, and later than the last change",
    undo="correct a battery change",
)
def change_battery(*, device: Device, on: date, kind: str, today: date, found: str = "") -> None:
    """Record a new set of batteries: one set, one visit, all valves of the device.

    Args:
        found: how the old set was, a value of `BatteryFound`; empty = nobody said.
    """
    refuse_ahead(on, today, field="on")
    known = device.battery_changed_on
    if known is not None and on <= known:
        raise UnableToChangeBattery(
            _("A change on %s is recorded. If that day is wrong, correct it instead.")
            % known.isoformat(),
            field="on",
        )
    device.battery_changed_on, device.battery_kind = on, kind
    device.battery_found = found if found in BatteryFound.values else ""
    device.save()


@verb(
    name="correct a battery change",
    action=Action.CHANGE_STOPGAPS,
    guard="what was wrong, in words; a day that has come, or none where it is not known",
    undo="correct a battery change again, with the values that its history shows",
)
def correct_battery(
    *, device: Device, on: date | None, kind: str, why: str, today: date, found: str = ""
) -> None:
    """Correct the day or the kind of the set that is in now; no day means not known.

    Args:
        found: how the old set was; empty = what is recorded of that stays.
    """
    reason = was_wrong(why)
    refuse_ahead(on, today, field="on")
    device.battery_changed_on, device.battery_kind = on, kind
    if found in BatteryFound.values:
        device.battery_found = found
    save_because(device, reason)


def battery_history(device: Device, *, most: int = 30) -> list[BatteryChange]:
    """Return the states of the battery set, newest first; other edits of the device are none."""
    history: Any = device.history
    found: list[BatteryChange] = []
    before: tuple[date | None, str, str] = (None, "", "")
    for record in history.select_related("history_user").order_by("history_id"):
        now = (record.battery_changed_on, record.battery_kind, record.battery_found)
        if now != before:
            by, why = str(record.history_user or ""), record.history_change_reason or ""
            was = record.get_battery_found_display() if record.battery_found else ""
            found.append(BatteryChange(*now[:2], by, record.history_date, why, str(was)))
        before = now
    return found[::-1][:most]


@dataclass(frozen=True)
class BatterySet:
    """A set that was put in: when, of which kind, and how the one before it was found."""

    on: date
    kind: str
    found: str = ""


def sets_of(device_ids: Collection[int]) -> dict[int, list[BatterySet]]:
    """Return the battery sets that each timer got, oldest first.

    A correction puts the set before it right instead of being one more. What was changed on a day
    that nobody knows is left out.
    """
    records: Any = Device.history.model.objects.filter(id__in=device_ids)
    rows = records.order_by("id", "history_id").values_list(
        "id", "battery_changed_on", "battery_kind", "battery_found", "history_change_reason"
    )
    states: dict[int, list[tuple[date | None, str, str]]] = {}
    for key, on, kind, found, why in rows:
        known = states.setdefault(key, [])
        if known and known[-1] == (on, kind, found):
            continue
        # A set that is put right, and one of which more was written down later.
        if known and (why or known[-1][0] == on):
            known.pop()
        known.append((on, kind, found))
    return {
        key: [BatterySet(on, kind, found) for on, kind, found in known if on]
        for key, known in states.items()
    }


@dataclass(frozen=True)
class EndedSet:
    """A set that was taken out again: of which timer and kind, the days that it was in, and
    whether it was empty then."""

    device_id: int
    kind: str
    from_on: date
    to_on: date
    is_empty: bool


def ended_sets() -> list[EndedSet]:
    """Return the company's own sets, as far as somebody said how they ended.

    Kinds are told apart by their letters, whatever their case; a set whose kind nobody wrote down
    is left out.
    """
    records: Any = Device.history.model.objects
    told = records.exclude(battery_found="").order_by().values_list("id", flat=True).distinct()
    found = []
    for device_id, sets in sets_of(list(told)).items():
        for old, new in pairwise(sets):
            kind = kind_key(old.kind)
            if kind and old.on < new.on and new.found:
                is_empty = new.found == BatteryFound.EMPTY
                found.append(EndedSet(device_id, kind, old.on, new.on, is_empty))
    return found


def kind_key(kind: str) -> str:
    """Return a kind of batteries as kinds are told apart."""
    return " ".join(kind.split()).casefold()
