"""The task that makes what verbs have touched. It makes one call of a service."""

from typing import Any

from celery import shared_task
from django.utils import timezone

from faults.tasks import HOW
from reports.summaries.services.summaries import keep_summaries


@shared_task(name="reports.keep_summaries", **HOW)
def keep(**later: Any) -> None:
    """Make and keep the summaries of properties that are missing or were touched."""
    keep_summaries(at=timezone.now(), go_on=lambda: None)
