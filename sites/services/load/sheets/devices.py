"""Battery timers, as the sheet of stopgaps tells of them: one may run several valves."""

from django.utils.translation import gettext as _

from sites.models import Device, Stopgap, StopgapKind
from sites.services.load.planning import Load
from sites.services.load.rows import Row
from sites.services.load.words import same_name


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
        if stopgap.pk is not None:
            row.change(what, "device", stopgap.device.name if stopgap.device else "", device.name)
        load.work.change(stopgap, "device", device)
    _plan_batteries(load, row, device, what)


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


def _plan_batteries(load: Load, row: Row, device: Device, what: str) -> None:
    """Several rows tell of one timer: the latest change of batteries is the one that counts."""
    changed = row.get("battery changed")
    kind = row.get("battery kind")
    known = device.battery_changed_on
    is_latest = known is None or changed is None or changed >= known
    if changed is not None and is_latest and changed != known:
        load.put(row, device, "battery changed", changed, what=what, to="battery_changed_on")
    if kind is not None and is_latest:
        load.put(row, device, "battery kind", kind, what=what, to="battery_kind")
    for name, attribute, empty in (
        ("battery kind", "battery_kind", ""),
        ("battery changed", "battery_changed_on", None),
    ):
        if row.erases(name):
            load.put(row, device, name, empty, what=what, to=attribute)
