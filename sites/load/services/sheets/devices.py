"""Battery timers, as the sheet of stopgaps tells of them: one may run several valves."""

from datetime import date

from django.utils.translation import gettext as _

from sites.cells.engines.plain_words import same_name
from sites.load.services.planning import Load
from sites.load.services.rows import Row
from sites.load.services.work import is_saved
from sites.models import Device, Stopgap, StopgapKind


def plan_device(load: Load, row: Row, stopgap: Stopgap, what: str) -> None:
    """Plan the timer of a stopgap, and its batteries."""
    if row.erases("device"):
        if stopgap.device is not None:
            row.change(what, "device", stopgap.device.name, "")
            load.work.change(stopgap, "device", None)
        return
    device = _device(load, row, stopgap)
    if device is None:
        return
    if stopgap.device is not device:
        if is_saved(stopgap):
            row.change(what, "device", stopgap.device.name if stopgap.device else "", device.name)
        load.work.change(stopgap, "device", device)
    told = load.notes.setdefault("rows of devices", {})
    told.setdefault(id(device), (device, []))[1].append(row)


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
    device = load.book.devices.find((id(place), same_name(name)))
    if device is None:
        device = Device(property=place, name=name)
        load.work.create(device)
        load.book.devices.put(device, (id(place), same_name(name)))
    return device


def settle_batteries(load: Load) -> None:
    """Several rows tell of one timer: the latest change of its batteries is the one that counts."""
    told: dict[int, tuple[Device, list[Row]]] = load.notes.pop("rows of devices", {})
    for device, rows in told.values():
        known = device.battery_changed_on
        for name, attribute in (
            ("battery changed", "battery_changed_on"),
            ("battery kind", "battery_kind"),
        ):
            row = max((each for each in rows if name in each.cells), key=_changed, default=None)
            if row is not None and (known is None or not date.min < _changed(row) < known):
                _put(load, row, device, name, attribute)


def _put(load: Load, row: Row, device: Device, name: str, attribute: str) -> None:
    column = row.sheet.columns[name].column
    value = column.empty if row.erases(name) else row.get(name)
    if value is not None or row.erases(name):
        what = f"{device.property.code} {device.name}"
        load.put(row, device, name, value, what=what, to=attribute)


def _changed(row: Row) -> date:
    found: date | None = row.get("battery changed")
    return found or date.min
