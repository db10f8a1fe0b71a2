"""Files that somebody brought to be loaded, kept until loaded or given up."""

from typing import Any

from django.conf import settings
from django.db import models

from sites.models.base import Referenced
from sites.models.run import Run


def upload_path(upload: "Upload", filename: str) -> str:
    """Return a name that nobody can guess; the user's own name is kept beside it."""
    suffix = filename.rsplit(".", 1)[-1].lower()[:5] if "." in filename else "dat"
    return f"uploads/{upload.ref}.{suffix}"


class Upload(Referenced):
    """One file, how its headings and days are to be read, and what it would change."""

    file = models.FileField(upload_to=upload_path)
    filename = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField()
    # The user's corrections: {"headings": {sheet: {column letter: field}}, "day_order": "dmy"...}
    answers: Any = models.JSONField(default=dict)
    preview_run = models.ForeignKey(Run, on_delete=models.SET_NULL, null=True, related_name="+")
    load_run = models.ForeignKey(Run, on_delete=models.SET_NULL, null=True, related_name="+")
