"""References that a file brings and that nobody here knows: from another Rejoin, or mistyped.

A row whose reference is unknown, whose name or number is unknown too, and whose reference nobody
else holds can only be a new record: it keeps its reference, so that a register that is exported
and loaded elsewhere is still the same register. In any other case the row stays a problem.
"""

import re
from collections.abc import Iterable

from django.db.models import Model
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from sites.load.services.book import K, M, Shelf
from sites.load.services.rows import Row, Sheet
from sites.models.base import REF_ALPHABET, REF_LENGTH, Referenced

_FORMED = re.compile(f"[{REF_ALPHABET}]{{{REF_LENGTH}}}")
AT_ONCE = 500


class BroughtRefs:
    """The references of one sheet that none of the user's records has."""

    def __init__(self, sheet: Sheet, unknown: Iterable[str]) -> None:
        formed = sorted({ref for ref in unknown if _FORMED.fullmatch(ref)})
        model = sheet.kind.model
        self._free = set(formed) - _held(model, formed) if model else set()
        self._sheet, self._kept = sheet, 0

    def keep(self, row: Row, shelf: Shelf[M, K], record: M | None) -> None:
        """Give a new record the reference that its row brings."""
        ref = ref_of(row)
        if isinstance(record, Referenced) and record.pk is None and ref in self._free:
            record.ref = ref
            shelf.by_ref[ref] = record
            self._free.discard(ref)
            self._kept += 1

    def may_be_new(self, row: Row, held: Model | None) -> bool:
        """Return whether the row is a new record; tell where it is none."""
        if held is None and ref_of(row) in self._free:
            return True
        row.problem(
            "ref",
            _("None of your records here has this ref. Leave the cell empty for a new one."),
        )
        return False

    def tell(self) -> None:
        """Say how many references were kept: a mistyped one would show here."""
        if self._kept:
            self._sheet.report.remark(
                ngettext(
                    "%(n)d row brings a ref that is not known here, and keeps it as a new record.",
                    "%(n)d rows bring refs that are not known here, and keep them as new records.",
                    self._kept,
                )
                % {"n": self._kept}
            )


def ref_of(row: Row) -> str:
    """Return the reference of a row as it is kept, or an empty text."""
    return row.text("ref").lower()


def _held(model: type[Model], refs: list[str]) -> set[str]:
    """References in use, also by records that are retired or another client's."""
    found: set[str] = set()
    for start in range(0, len(refs), AT_ONCE):
        rows = model._base_manager.filter(ref__in=refs[start : start + AT_ONCE])
        found |= set(rows.values_list("ref", flat=True))
    return found
