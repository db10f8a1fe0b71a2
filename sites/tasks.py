"""The one task that runs any background service by its run."""

from typing import Any

from celery import shared_task

from sites.runs.services import execute_run


@shared_task(name="sites.run")
def run_service(*, run_id: int, **later: Any) -> None:
    """Load the run and call its service; the run keeps the result."""
    execute_run(run_id)
