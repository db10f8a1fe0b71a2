"""Tasks of what is kept and of what is told. Each makes one call of a service."""

from typing import Any

from celery import shared_task
from django.utils import timezone

from faults.due.services.regular import do_round
from faults.tasks import HOW
from reports.hooks.services.sending import ROUND
from reports.summaries.services.summaries import keep_summaries


@shared_task(name="reports.keep_summaries", **HOW)
def keep(**later: Any) -> None:
    """Make and keep the summaries of properties that are missing or were touched."""
    keep_summaries(at=timezone.now(), go_on=lambda: None)


@shared_task(name="reports.tell_programs", **HOW)
def tell_programs(**later: Any) -> None:
    """Send all that programs wait to be told."""
    do_round(ROUND, at=timezone.now())
