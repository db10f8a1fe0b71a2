"""Verbs on devices: a battery set is changed for all valves of the device in one visit."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import refuse_ahead, save_because, was_wrong
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Device


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


@verb(
    name="change a battery set",
    action=Action.CHANGE_STOPGAPS,
    guard="a day that has come, and later than the last change",
    undo="correct a battery change",
)
def change_battery(*, device: Device, on: date, kind: str, today: date) -> None:
    """Record a new set of batteries: one set, one visit, all valves of the device."""
    refuse_ahead(on, today, field="on")
    known = device.battery_changed_on
    if known is not None and on <= known:
        raise UnableToChangeBattery(
            _("A change on %s is recorded. If that day is wrong, correct it instead.")
            % known.isoformat(),
            field="on",
        )
    device.battery_changed_on, device.battery_kind = on, kind
    device.save()


@verb(
    name="correct a battery change",
    action=Action.CHANGE_STOPGAPS,
    guard="what was wrong, in words; a day that has come, or none where it is not known",
    undo="correct a battery change again, with the values that its history shows",
)
def correct_battery(*, device: Device, on: date | None, kind: str, why: str, today: date) -> None:
    """Correct the day or the kind of the set that is in now; no day means not known."""
    reason = was_wrong(why)
    refuse_ahead(on, today, field="on")
    device.battery_changed_on, device.battery_kind = on, kind
    save_because(device, reason)


def battery_history(device: Device, *, most: int = 30) -> list[BatteryChange]:
    """Return the states of the battery set, newest first; other edits of the device are none."""
    history: Any = device.history
    found: list[BatteryChange] = []
    before: tuple[date | None, str] = (None, "")
    for record in history.select_related("history_user").order_by("history_id"):
        now = (record.battery_changed_on, record.battery_kind)
        if now != before:
            by, why = str(record.history_user or ""), record.history_change_reason or ""
            found.append(BatteryChange(*now, by, record.history_date, why))
        before = now
    return found[::-1][:most]


def sets_of(device_ids: Collection[int]) -> dict[int, list[tuple[date, str]]]:
    """Return the battery sets that each timer got, oldest first: the day and the kind.

    A correction puts the set before it right instead of being one more. What was changed on a day
    that nobody knows is left out.
    """
    records: Any = Device.history.model.objects.filter(id__in=device_ids)
    rows = records.order_by("id", "history_id").values_list(
        "id", "battery_changed_on", "battery_kind", "history_change_reason"
    )
    states: dict[int, list[tuple[date | None, str]]] = {}
    for key, on, kind, why in rows:
        known = states.setdefault(key, [])
        if known and known[-1] == (on, kind):
            continue
        # A set that is put right, and one whose kind was only now written down.
        if known and (why or known[-1][0] == on):
            known.pop()
        known.append((on, kind))
    return {key: [(on, kind) for on, kind in known if on] for key, known in states.items()}
