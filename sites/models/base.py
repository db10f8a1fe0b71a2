"""What every table of the register shares: a stable reference and half-open days."""

import secrets
from datetime import date
from functools import cache
from typing import Any, Self

from django.db import models
from django.db.models import F, Q
from django.utils.encoding import force_str
from simple_history.manager import HistoricalQuerySet, HistoryManager
from simple_history.models import HistoricalRecords

# No vowels and no look-alikes: a reference is read out over the phone and never spells a word.
REF_ALPHABET = "23456789bcdfghjkmnpqrstvwxz"
REF_LENGTH = 10


def new_ref() -> str:
    """Return a new stable reference, such as "k7m2x9q4bd"."""
    # One draw of 128 bits instead of one a letter: a load makes hundreds of thousands of these.
    rest, letters = secrets.randbits(128), []
    for _ in range(REF_LENGTH):
        rest, letter = divmod(rest, len(REF_ALPHABET))
        letters.append(REF_ALPHABET[letter])
    return "".join(letters)


class Referenced(models.Model):
    """A row that exports and addresses name by `ref`, which never changes."""

    ref = models.CharField(max_length=16, unique=True, default=new_ref, editable=False)

    class Meta:
        abstract = True

    def _get_FIELD_display(self, field: Any) -> Any:  # noqa: N802 - Django's name
        """Word a choice. Django's own way hashes, and so translates, all choices at each call."""
        value = getattr(self, field.attname)
        return force_str(_words_of(field).get(value, value), strings_only=True)


@cache
def _words_of(field: Any) -> dict[Any, Any]:
    """Return the word of each value, not yet translated."""
    return dict(field.flatchoices)


class _HistoryManager(HistoryManager.from_queryset(HistoricalQuerySet)):  # type: ignore[misc]
    """The library's manager of old versions, built once.

    The library builds this class again at each access to `history`, so at each save: a seventh of
    what a save costs.
    """

    @classmethod
    def from_queryset(
        cls, queryset_class: type[models.QuerySet[Any]], class_name: str | None = None
    ) -> type[Self]:
        return cls


class History(HistoricalRecords):
    """Old versions of a table's rows, as `row.history`."""

    def __init__(self, **given: Any) -> None:
        super().__init__(history_manager=_HistoryManager, **given)


class DatedQuerySet(models.QuerySet[Any]):
    """Rows that hold over [from_on, to_on); an empty from_on means "as far back as we know"."""

    def on(self, day: date) -> Self:
        """Keep rows that hold on `day`."""
        return self.filter(
            Q(from_on__isnull=True) | Q(from_on__lte=day),
            Q(to_on__isnull=True) | Q(to_on__gt=day),
        )

    def open(self) -> Self:
        """Keep rows that have not ended."""
        return self.filter(to_on__isnull=True)


def ends_after_start(
    name: str, *, start: str = "from_on", end: str = "to_on"
) -> models.CheckConstraint:
    """Return the constraint that an interval does not end before it starts."""
    return models.CheckConstraint(
        name=name,
        condition=Q(**{f"{end}__isnull": True})
        | Q(**{f"{start}__isnull": True})
        | Q(**{f"{end}__gte": F(start)}),
    )
