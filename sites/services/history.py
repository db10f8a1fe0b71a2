"""Who changed what, when, from which value to which."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class FieldChange:
    """One field's old and new value, as words."""

    field: str
    old: str
    new: str


@dataclass(frozen=True)
class Change:
    """One saved change of one row."""

    id: int
    at: datetime
    by: str
    verb: str
    why: str
    fields: list[FieldChange]


VERBS = {"+": _("added"), "~": _("changed"), "-": _("removed")}


def history_of(row: Model, *, most: int = 10) -> list[Change]:
    """Return the latest changes of a row, newest first."""
    history: Any = row.history  # type: ignore[attr-defined]
    records = list(history.select_related("history_user").order_by("-history_id")[: most + 1])
    older = [*records[1:], None]
    return [
        Change(
            id=record.history_id,
            at=record.history_date,
            by=str(record.history_user or ""),
            verb=str(VERBS[record.history_type]),
            why=record.history_change_reason or "",
            fields=_fields(record, before) if before is not None else [],
        )
        for record, before in zip(records, older, strict=True)
    ][:most]


def _fields(record: Any, before: Any) -> list[FieldChange]:
    model = record.instance_type
    return [
        FieldChange(
            str(model._meta.get_field(change.field).verbose_name),
            str(change.old if change.old is not None else ""),
            str(change.new if change.new is not None else ""),
        )
        for change in record.diff_against(before, foreign_keys_are_objs=False).changes
    ]
