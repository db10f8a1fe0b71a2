"""Uploaded files, stored until loaded or discarded."""

import secrets
from typing import TYPE_CHECKING, Any

from django.conf import settings
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
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField()
    # The user's corrections: {"columns": {sheet: {column letter: field}}, "day_order": "dmy"...}
    answers: Any = models.JSONField(default=dict)
    preview_run = models.ForeignKey(Run, on_delete=models.SET_NULL, null=True, related_name="+")
    load_run = models.ForeignKey(Run, on_delete=models.SET_NULL, null=True, related_name="+")

    if TYPE_CHECKING:
        further: RelatedManager["FurtherFile"]

    def all_files(self) -> list[tuple[str, FieldFile]]:
        """Return each file under the name that the user gave it, in the order brought."""
        further = [(each.filename, each.file) for each in self.further.order_by("pk")]
        return [(self.filename, self.file), *further]


class FurtherFile(models.Model):
    """A file that was brought together with the first one of an upload."""

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="further")
    file = models.FileField(upload_to=upload_path)
    filename = models.CharField(max_length=200)
