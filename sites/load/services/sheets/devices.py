"""Battery timers, as the sheet of stopgaps tells of them: one may run several valves."""

from dataclasses import dataclass, field
from datetime import date

from django.utils.translation import gettext as _

from sites.load.services.book import named
from sites.load.services.identity import IdentityMap
from sites.load.services.load import Load, Notes
from sites.load.services.rows import Row
from sites.models import Device, Stopgap, StopgapKind


@dataclass
class DeviceNotes(Notes):
    """The rows that say something of each timer, until its batteries are settled."""

    rows: IdentityMap[Device, list[Row]] = field(default_factory=IdentityMap)


def plan_device(load: Load, row: Row, stopgap: Stopgap, what: str) -> None:
    """Plan the timer of a stopgap, and its batteries."""
    if row.erases("device"):
        load.refer(row, stopgap, "device", None, what=what)
        return
    device = _device(load, row, stopgap)
    if device is None:
        return
    load.refer(row, stopgap, "device", device, what=what)
    load.notes(DeviceNotes).rows.setdefault(device, []).append(row)


def _device(load: Load, row: Row, stopgap: Stopgap) -> Device | None:
    """The timer of this label; batteries without a label belong to a timer of this station."""
    place = stopgap.station.controller.property
    name = row.get("device")
    if name is None:
        if not (row.has("battery kind") or row.has("battery changed")):
            return None
        if stopgap.kind != StopgapKind.BATTERY_TIMER:
            row.remark(_("batteries are kept for battery timers only: not used."))
            return None
        name = stopgap.device.name if stopgap.device else f"{stopgap.station} timer"[:60]
    device = load.book.devices.find(named(place, name))
    if device is None:
        device = Device(property=place, name=name)
        load.work.create(device)
        load.book.devices.put(device, named(place, name))
    return device


def settle_batteries(load: Load) -> None:
    """Several rows tell of one timer: the latest change of its batteries is the one that counts."""
    notes = load.notes(DeviceNotes)
    for device, rows in notes.rows.items():
        known = device.battery_changed_on
        for name, attribute in (
            ("battery changed", "battery_changed_on"),
            ("battery kind", "battery_kind"),
        ):
            row = max((each for each in rows if name in each.cells), key=_changed, default=None)
            if row is not None and (known is None or not date.min < _changed(row) < known):
                _put(load, row, device, name, attribute)
    notes.rows.clear()


def _put(load: Load, row: Row, device: Device, name: str, attribute: str) -> None:
    column = row.sheet.columns[name].column
    value = column.empty if row.erases(name) else row.get(name)
    if value is not None or row.erases(name):
        what = f"{device.property.code} {device.name}"
        load.put(row, device, name, value, what=what, to=attribute)


def _changed(row: Row) -> date:
    found: date | None = row.get("battery changed")
    return found or date.min
