"""Verbs on what stands in a controller's place; the controller keeps its identity."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import change_from, correct, last_row, row_before, take_back
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Controller, Equipment

# What the new equipment may bring with it; kept on the controller, which stays itself.
BROUGHT = ("output_volts", "transformer_va", "station_count")


class UnableToReplaceEquipment(UnableToAct):
    """Equipment that cannot be replaced so."""


def equipment_now(controller: Controller) -> Equipment | None:
    """Return what stands there."""
    return last_row(controller.equipment)


@verb(
    name="replace a controller's equipment",
    action=Action.EDIT_REGISTER,
    guard="a label; a day that has come, later than that of what stands there; it can switch "
    "all stations in use",
    undo="take back a replacement of equipment",
)
def replace_equipment(
    *,
    controller: Controller,
    values: Mapping[str, object],
    brought: Mapping[str, Any],
    on: date,
    today: date,
) -> Equipment:
    """Put other equipment in a controller's place.

    Args:
        values: label, serial, notes. brought: `BROUGHT`, as the new equipment has them.
    """
    _refuse_too_few(controller, brought.get("station_count"))
    made = change_from(
        Equipment(controller=controller),
        equipment_now(controller),
        on=on,
        values=values,
        today=today,
    )
    _bring(controller, brought, f"equipment {made.pk} came")
    return made


@verb(
    name="correct a controller's equipment",
    action=Action.EDIT_REGISTER,
    guard="what was wrong, in words; something differs",
    undo="correct it again, with the values that its history shows",
)
def correct_equipment(*, equipment: Equipment, values: Mapping[str, object], why: str) -> None:
    """Put the label, serial number or notes right."""
    correct(equipment, values=values, why=why)


@verb(
    name="take back a replacement of equipment",
    action=Action.EDIT_REGISTER,
    guard="what was wrong, in words; something was replaced",
    undo="replace the equipment from the same day again",
)
def take_back_equipment(*, controller: Controller, why: str) -> None:
    """Undo the latest replacement: the equipment before it holds again, with its values."""
    now = equipment_now(controller)
    take_back(now, row_before(controller.equipment, now), why=why)
    if now is not None:
        _bring(controller, _before_it_came(controller, now), f"equipment {now.pk} did not come")


def _refuse_too_few(controller: Controller, count: int | None) -> None:
    standing = controller.stations.filter(retired_on__isnull=True).count()
    if count is not None and count < standing:
        raise UnableToReplaceEquipment(
            _("%(standing)s stations are in use here, but this switches %(count)s. Retire some "
              "first, or correct the count.") % {"standing": standing, "count": count},
            field="station_count",
        )  # fmt: skip


def _bring(controller: Controller, brought: Mapping[str, object], why: str) -> None:
    if all(getattr(controller, name) == value for name, value in brought.items()):
        return
    for name, value in brought.items():
        setattr(controller, name, value)
    save_because(controller, why)


def _before_it_came(controller: Controller, equipment: Equipment) -> dict[str, object]:
    """Return what the replacement changed on the controller and nobody has changed since."""
    history: Any = controller.history
    came = history.filter(history_change_reason=f"equipment {equipment.pk} came").first()
    before = came.prev_record if came else None
    if before is None:
        return {}
    return {
        name: getattr(before, name)
        for name in BROUGHT
        if getattr(came, name) == getattr(controller, name)
    }
