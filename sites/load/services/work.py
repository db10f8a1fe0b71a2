"""What a load will write: new records and changed ones, written in one go with history."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import F, Model
from django.utils import timezone
from django.utils.translation import gettext as _

from sites.kernel.services.collecting import bulk_written
from sites.load.services.history import CHANGED, CREATED, has_history, write_history
from sites.load.services.identity import IdentitySet
from sites.models import (
    Controller,
    HowLoaded,
    Leg,
    Point,
    Property,
    Station,
    Stopgap,
    StopgapKind,
    User,
    Wire,
)
from sites.runs.services import Progress

M = TypeVar("M", bound=Model)
BATCH = 2000
KEYS_AT_ONCE = 500

# While several records swap names or days, the database would see two alike for a moment.
# Those that change are first set aside, each to a value that nobody has.
_NAMES: dict[type[Model], str] = {
    Property: "code",
    Controller: "name",
    Point: "name",
    Wire: "name",
    Leg: "label",
}
_ASIDE = 1_000_000_000


def is_saved(record: Model) -> bool:
    """Return whether a record was there before this load."""
    return record.pk is not None


class Work:
    """New and changed records, kept until all of the files are planned."""

    def __init__(self) -> None:
        self.created: dict[type[Model], list[Model]] = {}
        self.changed: dict[type[Model], dict[int, tuple[Model, set[str]]]] = {}
        self.removed: dict[type[Model], list[int]] = {}
        self.touched_stations: IdentitySet[Station] = IdentitySet()

    def create(self, record: Model) -> None:
        """Keep a new record."""
        self.created.setdefault(type(record), []).append(record)

    def change(self, record: Model, attribute: str, value: object) -> None:
        """Set an attribute, and keep the record as changed unless it is a new one."""
        setattr(record, attribute, value)
        if record.pk is not None:
            kept = self.changed.setdefault(type(record), {})
            kept.setdefault(record.pk, (record, set()))[1].add(attribute)

    def remove(self, record: Model) -> None:
        """Keep the key of a link row, which has no history of its own, to be taken out."""
        self.removed.setdefault(type(record), []).append(record.pk)

    def touch(self, station: Station) -> None:
        """Remember that a station's days off central control may have changed."""
        self.touched_stations.add(station)

    def written(self, model: type[M]) -> list[M]:
        """Return the new and the changed records of a model."""
        changed = [record for record, _fields in self.changed.get(model, {}).values()]
        records = [*self.created.get(model, []), *changed]
        return [record for record in records if isinstance(record, model)]

    def counts(self) -> dict[str, int]:
        """Return how many records of each kind would be made, by the kind's name."""
        return {
            str(model._meta.verbose_name_plural): len(rows) for model, rows in self.created.items()
        }


@dataclass(frozen=True)
class Written:
    """Rows of one table as a load found them: what it takes to take the load back.

    `before` has one entry for each key: by column, what was changed or taken out. New rows have
    none.
    """

    model: type[Model]
    how: HowLoaded
    keys: list[int]
    before: list[dict[str, object]]


def write(
    work: Work,
    order: Sequence[type[Model]],
    *,
    user: User | None,
    reason: str,
    progress: Progress,
) -> list[Written]:
    """Write everything in the given order of models, and return what was there before.

    Expects to run inside a transaction.
    """
    found = [*_found_changed(work), *_found_removed(work)]
    writer = _Writer(user, reason[:100], progress)
    _set_aside(work)
    for model in order:
        writer.remove(model, work.removed.get(model, []))
        writer.update(model, work, first=True)
        writer.create(model, work.created.get(model, []))
    for model in order:
        writer.update(model, work, first=False)
    return [*found, *_new(work)]


def _found_changed(work: Work) -> Iterator[Written]:
    """Read what each changed field holds; one statement for those of the same fields."""
    for model, kept in work.changed.items():
        by_fields: dict[tuple[str, ...], list[int]] = {}
        for key, (_record, changed) in kept.items():
            by_fields.setdefault(tuple(sorted(changed)), []).append(key)
        for names, keys in by_fields.items():
            columns = [
                field.attname
                for field in model._meta.concrete_fields
                if {field.name, field.attname} & set(names)
            ]
            yield from _found(model, HowLoaded.CHANGED, keys, columns)


def _found_removed(work: Work) -> Iterator[Written]:
    for model, keys in work.removed.items():
        columns = [field.attname for field in model._meta.concrete_fields]
        yield from _found(model, HowLoaded.REMOVED, keys, columns)


def _found(
    model: type[Model], how: HowLoaded, keys: Sequence[int], columns: Sequence[str]
) -> Iterator[Written]:
    for start in range(0, len(keys), KEYS_AT_ONCE):
        rows = model._default_manager.filter(pk__in=keys[start : start + KEYS_AT_ONCE])
        found = {row["pk"]: row for row in rows.order_by().values("pk", *columns)}
        before = [{name: row[name] for name in columns} for row in found.values()]
        yield Written(model, how, list(found), before)


def _new(work: Work) -> Iterator[Written]:
    for model, records in work.created.items():
        for start in range(0, len(records), BATCH):
            keys = [record.pk for record in records[start : start + BATCH]]
            yield Written(model, HowLoaded.ADDED, keys, [])


class _Writer:
    def __init__(self, user: User | None, reason: str, progress: Progress) -> None:
        self.user, self.reason, self.progress = user, reason, progress
        self.at = timezone.now()

    def remove(self, model: type[Model], keys: list[int]) -> None:
        for start in range(0, len(keys), 500):
            model._default_manager.filter(pk__in=keys[start : start + 500]).delete()

    def create(self, model: type[Model], records: list[Model]) -> None:
        for wave in _waves(model, records):
            for start in range(0, len(wave), BATCH):
                self._say(model, start, len(wave))
                self._create(model, wave[start : start + BATCH])

    def update(self, model: type[Model], work: Work, *, first: bool) -> None:
        """Changed records refer to new ones; only closed states must make room before those."""
        if first != (model.__name__ == "CentralState"):
            return
        by_fields: dict[tuple[str, ...], list[Model]] = {}
        for record, fields in work.changed.get(model, {}).values():
            by_fields.setdefault(tuple(sorted(fields)), []).append(record)
        for fields_changed, records in by_fields.items():
            for start in range(0, len(records), BATCH):
                self._say(model, start, len(records))
                batch = records[start : start + BATCH]
                model._default_manager.bulk_update(batch, fields_changed)
                self._keep(model, batch, CHANGED)
                bulk_written.send(model, records=batch)

    def _create(self, model: type[Model], records: Sequence[Model]) -> None:
        model._default_manager.bulk_create(records)
        self._keep(model, records, CREATED)
        bulk_written.send(model, records=records)

    def _keep(self, model: type[Model], records: Sequence[Model], how: str) -> None:
        if has_history(model):
            write_history(records, model, how=how, by=self.user, at=self.at, why=self.reason)

    def _say(self, model: type[Model], done: int, total: int) -> None:
        name = str(model._meta.verbose_name_plural)
        self.progress.say(_("Writing %(what)s") % {"what": name}, done, total)


def _waves(model: type[Model], records: list[Model]) -> Iterator[Sequence[Model]]:
    """Stations may depend on stations that are new themselves: those come first."""
    if model is not Station:
        yield records
        return
    rest = [record for record in records if isinstance(record, Station)]
    while rest:
        waiting = IdentitySet(rest)
        ready = [r for r in rest if r.depends_on is None or r.depends_on not in waiting]
        yield ready or rest
        taken = IdentitySet(ready or rest)
        rest = [record for record in rest if record not in taken]


def set_aside(model: type[Model], keys: Sequence[int]) -> None:
    """Give rows that will go values that nobody has, so that others may have theirs."""
    rows = model._default_manager
    for start in range(0, len(keys), KEYS_AT_ONCE):
        some = keys[start : start + KEYS_AT_ONCE]
        if model in _NAMES:
            for key in some:
                rows.filter(pk=key).update(**{_NAMES[model]: f"\u2026{key}"})
        elif model is Station:
            rows.filter(pk__in=some).update(number=F("pk") + _ASIDE)
        elif model is Stopgap:
            rows.filter(pk__in=some).update(kind=StopgapKind.DOUBLED)


def _set_aside(work: Work) -> None:
    for model, name in _NAMES.items():
        keys = [key for key, (_, fields) in work.changed.get(model, {}).items() if name in fields]
        set_aside(model, keys)
    _aside(work, Station, {"number"}, number=F("pk") + _ASIDE)
    # A kind that may overlap; the true one is written back with the rest.
    _aside(work, Stopgap, {"counted_from", "removed_on", "kind"}, kind=StopgapKind.DOUBLED)


def _aside(work: Work, model: type[Model], names: set[str], **values: object) -> None:
    keys = []
    for pk, (_record, fields) in work.changed.get(model, {}).items():
        if names & fields:
            fields.update(values)
            keys.append(pk)
    for start in range(0, len(keys), 500):
        model._default_manager.filter(pk__in=keys[start : start + 500]).update(**values)
