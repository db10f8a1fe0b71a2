"""Long work in the background: who asked for what, and how it ended."""

from typing import Any, Self

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from sites.models.base import Referenced


class RunState(models.TextChoices):
    """Where a run stands."""

    WAITING = "waiting", _("waiting")
    RUNNING = "running", _("running")
    DONE = "done", _("done")
    FAILED = "failed", _("failed")
    CANCELLED = "cancelled", _("cancelled")


class RunQuerySet(models.QuerySet["Run"]):
    """Reads over runs."""

    def unfinished(self) -> Self:
        """Keep those that wait or work."""
        return self.filter(state__in=[RunState.WAITING, RunState.RUNNING])


class Run(Referenced):
    """One call of one service in the background. Progress lives in the cache, by `ref`."""

    service = models.CharField(max_length=200)
    arguments: Any = models.JSONField(default=dict)
    title = models.CharField(max_length=200)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    state = models.CharField(max_length=12, choices=RunState, default=RunState.WAITING)
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    result: Any = models.JSONField(null=True)
    # In the user's words: what happened and what to do next.
    problem = models.TextField(blank=True)

    objects = RunQuerySet.as_manager()
