"""Take a load back: what it added goes, what it changed returns, unless something was built on it.

The load itself stays in the list, and the history of each row keeps what was there meanwhile.
"""

from collections.abc import Iterable, Iterator
from typing import Any, cast

from django.apps import apps
from django.db import IntegrityError, transaction
from django.db.models import F, ManyToOneRel, Model, ProtectedError, Q
from django.utils import timezone
from django.utils.translation import gettext as _
from simple_history.utils import get_history_manager_for_model

from faults.load.services.register import TABLES
from faults.models import FollowUp, Wait
from faults.waits.services.keeping_waits import touch as touch_waits
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.derived import derived_kept
from sites.load.services.history import has_history
from sites.load.services.work import KEYS_AT_ONCE, Work, Written, set_aside, write
from sites.models import (
    ClimateRow,
    HowLoaded,
    LoadedRows,
    Outage,
    Property,
    Spell,
    SpellPart,
    StuckOpen,
    Upload,
    User,
    WaterMonth,
)
from sites.runs.services import Progress
from sites.stopgaps.services.keeping_spells import touch as touch_spells
from sites.water.services.keeping import touch as touch_water

MOST_NAMED = 12
# Rows that hold nothing but what other rows say: they follow by themselves.
DERIVED = {Outage, Spell, SpellPart, StuckOpen, Wait, WaterMonth}
DERIVED_ELSEWHERE = {"reports.propertysummary"}
# How far a property is from any row of a register, in references.
_FARTHEST = 4


class UnableToTakeBack(Exception):
    """The load cannot be taken back; the message names what was built on it."""


class _BuiltOn(Exception):
    """Rows that would be lost. Named once all is rolled back: meanwhile names are set aside."""

    def __init__(self, rows: list[Model]) -> None:
        super().__init__()
        self.rows = rows


def keep_written(upload: Upload, written: Iterable[Written]) -> None:
    """Keep what it takes to take a load back. Expects to run in the load's transaction."""
    at = timezone.now()
    LoadedRows.objects.bulk_create(
        LoadedRows(
            upload=upload,
            table=each.model._meta.label_lower,
            how=each.how,
            at=at,
            keys=each.keys,
            before=each.before,
        )
        for each in written
    )


def take_back_load(*, upload: Upload, by: User, progress: Progress) -> None:
    """Put the register back as it was before this load, all of it or nothing.

    Raises:
        UnableToTakeBack: it was taken back, or something was built on it since.
    """
    try:
        with transaction.atomic():
            held = Upload.objects.select_for_update(of=("self",)).get(pk=upload.pk)
            rows = list(held.loaded.order_by("pk"))
            if not rows:
                raise UnableToTakeBack(_("Nothing of this load is left to take back."))
            _refuse_others(rows, by)
            with derived_kept():
                _take_back(rows, held, by, progress)
            held.loaded.all().delete()
    except _BuiltOn as found:
        raise UnableToTakeBack(_in_words(found.rows)) from None
    except (IntegrityError, ProtectedError) as error:
        raise UnableToTakeBack(
            _("Other records need what this load brought. Nothing was taken back.")
        ) from error


def _take_back(rows: list[LoadedRows], upload: Upload, by: User, progress: Progress) -> None:
    progress.say(_("Looking for what was built on this load"))
    _hold(rows)
    _refuse_changed(rows)
    added = _added(rows)
    places = _places(rows)
    for model, keys in added.items():
        set_aside(model, keys)
    reason = _("taken back: %(filename)s") % {"filename": upload.filename}
    write(_former(rows), TABLES, user=by, reason=reason, progress=progress)
    _refuse_built_on(added)
    # What water and spells follow from was written in bulk, which sends no signal.
    touch_spells(places=places)
    touch_water(places=places, tables=_tables(rows))
    touch_waits(places=places)
    for model in reversed(TABLES):
        keys = added.get(model, [])
        for start in range(0, len(keys), KEYS_AT_ONCE):
            progress.say(_("Taking back %s") % model._meta.verbose_name_plural, start, len(keys))
            model._default_manager.filter(pk__in=keys[start : start + KEYS_AT_ONCE]).delete()


def _model_of(rows: LoadedRows) -> type[Model]:
    return apps.get_model(rows.table)


def _added(rows: Iterable[LoadedRows]) -> dict[type[Model], list[int]]:
    added: dict[type[Model], list[int]] = {}
    for each in rows:
        if each.how == HowLoaded.ADDED:
            added.setdefault(_model_of(each), []).extend(each.keys)
    return added


def _former(rows: Iterable[LoadedRows]) -> Work:
    """Return the work that writes what was there before."""
    work = Work()
    for each in rows:
        model = _model_of(each)
        if each.how == HowLoaded.CHANGED:
            found = model._default_manager.in_bulk(each.keys)
            for key, before in zip(each.keys, each.before, strict=True):
                if key not in found:
                    continue
                for name, value in _read(model, before).items():
                    work.change(found[key], name, value)
        elif each.how == HowLoaded.REMOVED:
            for before in each.before:
                work.create(model(**_read(model, before)))
    return work


def _read(model: type[Model], before: dict[str, Any]) -> dict[str, Any]:
    """Return what each column held, as its field reads it."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    return {name: fields[name].to_python(value) for name, value in before.items()}


def _tables(rows: Iterable[LoadedRows]) -> set[str]:
    """Return the climate tables of several properties that the load wrote in."""
    keys = [key for each in rows if each.table == ClimateRow._meta.label_lower for key in each.keys]
    found = ClimateRow.objects.filter(pk__in=keys, property=None)
    return set(found.values_list("table", flat=True))


def _places(rows: Iterable[LoadedRows]) -> set[int]:
    """Return the properties of all rows that the load added or changed."""
    places: set[int] = set()
    for each in rows:
        model = _model_of(each)
        path = _path_to_property(model)
        if path is not None:
            for start in range(0, len(each.keys), KEYS_AT_ONCE):
                found = model._default_manager.filter(
                    pk__in=each.keys[start : start + KEYS_AT_ONCE]
                )
                places |= set(found.order_by().values_list(path, flat=True))
    return {place for place in places if place is not None}


def _path_to_property(model: type[Model], far: int = _FARTHEST) -> str | None:
    """Return the references from a row to its property, the shortest; None where there are none."""
    if model is Property:
        return "pk"
    paths = []
    for field in model._meta.concrete_fields if far else ():
        other = field.related_model
        if isinstance(other, type) and (path := _path_to_property(other, far - 1)):
            paths.append(f"{field.name}__{path}")
    return min(paths, key=lambda path: path.count("__"), default=None)


def _hold(rows: Iterable[LoadedRows]) -> None:
    """Keep everybody off these rows: a change after they were looked at would be overwritten."""
    for each in rows:
        held = _model_of(each)._default_manager.select_for_update().filter(pk__in=each.keys)
        list(held.order_by("pk").values_list("pk", flat=True))


def _refuse_others(rows: Iterable[LoadedRows], by: User) -> None:
    """A user whose limits are narrower now takes back nothing beyond them."""
    theirs = set(properties_for(by, Action.LOAD_REGISTER).values_list("pk", flat=True))
    if _places(rows) - theirs:
        raise UnableToTakeBack(
            _("This load changed properties that are not among yours any more. Ask an owner.")
        )


def _refuse_changed(rows: Iterable[LoadedRows]) -> None:
    """Who changed a row since would lose that change."""
    _refuse(row for each in rows if has_history(_model_of(each)) for row in _changed_since(each))


def _changed_since(each: LoadedRows) -> Iterator[Model]:
    """Return the rows that stand otherwise now; one that was changed and changed back is none."""
    model = _model_of(each)
    history: Any = get_history_manager_for_model(model)
    key = model._meta.pk.name
    later = history.filter(**{f"{key}__in": each.keys}, history_date__gt=each.at)
    for row in model._default_manager.filter(pk__in=set(later.values_list(key, flat=True))):
        earlier = history.filter(**{key: row.pk}, history_date__lte=each.at)
        then = earlier.latest("history_date", "history_id")
        names = [field.attname for field in history.model.tracked_fields]
        if any(getattr(then, name) != getattr(row, name) for name in names):
            yield row


def _refuse_built_on(added: dict[type[Model], list[int]]) -> None:
    """What refers to an added row and is none itself would go with it, or stand in the way."""
    _refuse(row for model, keys in added.items() for row in _referring(model, keys, added))


def _referring(
    model: type[Model], keys: list[int], added: dict[type[Model], list[int]]
) -> Iterator[Model]:
    for reference in model._meta.get_fields(include_hidden=True):
        if not isinstance(reference, ManyToOneRel):
            continue
        other = cast(type[Model], reference.related_model)
        if _is_derived(other):
            continue
        own = set(added.get(other, ()))
        for start in range(0, len(keys), KEYS_AT_ONCE):
            some = keys[start : start + KEYS_AT_ONCE]
            found = other._default_manager.filter(**{f"{reference.field.name}__in": some})
            if other is FollowUp:
                found = found.exclude(_UNTOUCHED)
            yield from (row for row in found.order_by("pk") if row.pk not in own)


# Raised by a rule, and nobody did anything with it.
_UNTOUCHED = Q(raised_by=None, handed_to=None, done_by=None, note="") & (
    Q(ruled_on=None) | Q(ruled_on=F("due_on"))
)


def _is_derived(model: type[Model]) -> bool:
    label = model._meta.label_lower
    return model in DERIVED or label in DERIVED_ELSEWHERE or "historical" in label


def _named(row: Model) -> str:
    return f"{row._meta.verbose_name}: {_name(row)}"


def _name(row: Model) -> str:
    """Return the name of a row, or of what it belongs to where it has none."""
    if type(row).__str__ is not Model.__str__:
        return str(row)
    owners = [
        getattr(row, field.name)
        for field in row._meta.concrete_fields
        if field.many_to_one and field.related_model is not User
    ]
    return ", ".join(_name(owner) for owner in owners if owner is not None)


def _refuse(rows: Iterable[Model]) -> None:
    if found := list(rows):
        raise _BuiltOn(found)


def _in_words(rows: Iterable[Model]) -> str:
    keys = {(type(row), row.pk): None for row in rows}
    names = list(dict.fromkeys(_named(model._default_manager.get(pk=key)) for model, key in keys))
    shown = "; ".join(names[:MOST_NAMED])
    more = _(" and %s more") % (len(names) - MOST_NAMED) if len(names) > MOST_NAMED else ""
    return _("This was built on the load since, and would be lost: %(names)s%(more)s.") % {
        "names": shown,
        "more": more,
    }
