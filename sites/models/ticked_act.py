"""One act on many rows of a list: what was done, what was refused and why, and how it is undone."""

from typing import Any

from django.conf import settings
from django.db import models

from sites.models.base import Referenced


class TickedAct(Referenced):
    """What one press did to the rows that were ticked. Written once; taking it back is noted here.

    `done` holds {"ref", "words", "url", "kept", "stamp"} of each row: how people know it, what its
    undo has to know, and the version of the row that the act left. `refused` and `left` hold
    {"words", "url", "why"}: what was not done, and what could not be taken back.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    act = models.CharField(max_length=60)
    at = models.DateTimeField(db_index=True)
    came_from = models.CharField(max_length=600)
    said = models.CharField(max_length=400)
    done: Any = models.JSONField(default=list)
    refused: Any = models.JSONField(default=list)
    taken_back_at = models.DateTimeField(null=True)
    left: Any = models.JSONField(default=list)

    @property
    def taken_back(self) -> int:
        """How many rows were taken back."""
        return len(self.done) - len(self.left) if self.taken_back_at else 0
