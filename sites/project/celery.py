"""The entry for a worker: `celery -A sites.project.celery worker`."""

import logging
import os
from typing import Any

from celery import Celery
from celery.signals import after_setup_logger, after_setup_task_logger, task_postrun, task_prerun
from django.conf import settings

from sites.kernel.services.request_ids import NONE, set_request_id
from sites.project.error_mail import handler_of
from sites.project.logs import DatabaseDown, WithRequest, formatter

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")

app = Celery("rejoin")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["sites", "faults", "reports"])


@after_setup_logger.connect
@after_setup_task_logger.connect
def _write_as_pages_do(logger: logging.Logger, **_more: Any) -> None:
    """A worker sets up logging by itself: let its lines look like those of the pages."""
    for handler in logger.handlers:
        handler.setFormatter(formatter(as_json=settings.LOG_JSON))
        handler.addFilter(DatabaseDown())
        handler.addFilter(WithRequest())


@after_setup_logger.connect
def _mail_as_pages_do(logger: logging.Logger, **_more: Any) -> None:
    """It drops all handlers, too. Before the others, whose filter takes the error off a record."""
    if mail := handler_of(settings.LOGGING):
        logger.handlers.insert(0, mail)


@task_prerun.connect
def _began(task_id: str = NONE, **_more: Any) -> None:
    set_request_id(task_id)


@task_postrun.connect
def _ended(**_more: Any) -> None:
    set_request_id(NONE)
