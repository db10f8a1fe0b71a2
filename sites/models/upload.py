"""Uploaded files, stored until loaded or discarded."""

import secrets
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models.fields.files import FieldFile

from sites.models.base import Referenced
from sites.models.run import Run

if TYPE_CHECKING:
    from django_stubs_ext.db.models.manager import RelatedManager


def upload_path(upload: models.Model, filename: str) -> str:
    """Return a name that nobody can guess; the user's own name is kept beside it."""
    suffix = filename.rsplit(".", 1)[-1].lower()[:5] if "." in filename else "dat"
    return f"uploads/{secrets.token_hex(16)}.{suffix if suffix.isalnum() else 'dat'}"


class Upload(Referenced):
    """One load: its files, how headings and days are to be read, and what it would change."""

    file = models.FileField(upload_to=upload_path)
    filename = models.CharField(max_length=200)
    # Nobody = the command line.
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="+"
    )
    at = models.DateTimeField()
    # The user's corrections: {"columns": {sheet: {column letter: field}}, "day_order": "dmy"...}
    answers: Any = models.JSONField(default=dict)
    preview_run = models.ForeignKey(Run, on_delete=models.SET_NULL, null=True, related_name="+")
    load_run = models.ForeignKey(Run, on_delete=models.SET_NULL, null=True, related_name="+")
    back_run = models.ForeignKey(Run, on_delete=models.SET_NULL, null=True, related_name="+")

    if TYPE_CHECKING:
        further: RelatedManager["FurtherFile"]
        loaded: RelatedManager["LoadedRows"]

    @property
    def added(self) -> int:
        """How many rows of its sheets the load added."""
        return self._total("added")

    @property
    def changed(self) -> int:
        """How many rows of its sheets the load found otherwise, and changed."""
        return self._total("changed")

    def _total(self, name: str) -> int:
        result = self.load_run.result if self.load_run else None
        return sum(sheet[name] for sheet in (result or {}).get("sheets", ()))

    def all_files(self) -> list[tuple[str, FieldFile]]:
        """Return each file under the name that the user gave it, in the order brought."""
        further = [(each.filename, each.file) for each in self.further.order_by("pk")]
        return [(self.filename, self.file), *further]


class FurtherFile(models.Model):
    """A file that was brought together with the first one of an upload."""

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="further")
    file = models.FileField(upload_to=upload_path)
    filename = models.CharField(max_length=200)


class HowLoaded(models.TextChoices):
    """What a load did to rows."""

    ADDED = "added"
    CHANGED = "changed"
    REMOVED = "removed"


class LoadedRows(models.Model):
    """Rows of one table that a load wrote, so that it can be taken back.

    `before` has one entry for each key: by column, what the load changed or took out.
    """

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="loaded")
    table = models.CharField(max_length=80)
    how = models.CharField(max_length=8, choices=HowLoaded)
    at = models.DateTimeField()
    keys: Any = models.JSONField()
    before: Any = models.JSONField(default=list, encoder=DjangoJSONEncoder)
