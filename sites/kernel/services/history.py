"""Who changed what, when, from which value to which."""

from collections.abc import Collection
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


def history_of(row: Model, *, most: int = 10, for_few: bool = False) -> list[Change]:
    """Return the latest changes of a row, newest first.

    Args:
        for_few: whether the reader may see the fields that the model names in `for_few`, which not
            everybody may see who sees the row.
    """
    hiding: Collection[str] = () if for_few else getattr(row, "for_few", ())
    history: Any = row.history  # type: ignore[attr-defined]
    records = list(history.select_related("history_user").order_by("-history_id")[: most + 1])
    older = [*records[1:], None]
    diffs = [
        [each for each in _diff(record, before) if each.field.name not in hiding]
        if before is not None
        else []
        for record, before in zip(records, older, strict=True)
    ][:most]
    names = _names(diffs)
    return [
        Change(
            id=record.history_id,
            at=record.history_date,
            by=str(record.history_user or ""),
            verb=str(VERBS[record.history_type]),
            why=record.history_change_reason or "",
            fields=[_change(each, names) for each in diff],
        )
        for record, diff in zip(records, diffs, strict=False)
    ]


@dataclass(frozen=True)
class _Difference:
    """One field that differs between two records, with its keys or values as they are kept."""

    field: Any
    old: Any
    new: object


def _diff(record: Any, before: Any) -> list[_Difference]:
    model = record.instance_type
    return [
        _Difference(model._meta.get_field(change.field), change.old, change.new)
        for change in record.diff_against(before, foreign_keys_are_objs=False).changes
    ]


def _names(diffs: list[list[_Difference]]) -> dict[type[Model], dict[object, str]]:
    """Return what rows are called to which these changes lead: one query for each table."""
    wanted: dict[type[Model], set[object]] = {}
    for each in (each for diff in diffs for each in diff if each.field.many_to_one):
        keys = {key for key in (each.old, each.new) if key is not None}
        wanted.setdefault(each.field.related_model, set()).update(keys)
    return {
        model: {row.pk: str(row) for row in model._base_manager.filter(pk__in=keys)}
        for model, keys in wanted.items()
    }


def _change(each: _Difference, names: dict[type[Model], dict[object, str]]) -> FieldChange:
    known = names.get(each.field.related_model, {}) if each.field.many_to_one else None
    old, new = (_words(value, known) for value in (each.old, each.new))
    return FieldChange(str(each.field.verbose_name), old, new)


def _words(value: object, known: dict[object, str] | None) -> str:
    """Return a value as a reader knows it; `known` holds what the rows of a key are called."""
    if value is None:
        return ""
    if known is not None:
        return known.get(value, str(value))
    return ", ".join(str(each) for each in value) if isinstance(value, list) else str(value)
