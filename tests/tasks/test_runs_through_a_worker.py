"""Runs that a real worker does, on real PostgreSQL and Redis, and what a sudden death leaves."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from sites.models import Client, Run, RunState
from sites.runs.services import (
    SILENT_FOR_S,
    Watched,
    cancel_run,
    pick_up_runs,
    start_run,
    watch_run,
)
from tests.services_real.needs import wait_until
from tests.services_real.worker import Worker

pytestmark = pytest.mark.service

Surroundings = dict[str, str]
StartWorker = Callable[..., Worker]
LONG = 600


def start(service: str, **arguments: Any) -> Run:
    """Ask for one of the tests' services."""
    return start_run(
        service=f"test {service}",
        title=service,
        by=None,
        at=timezone.now(),
        arguments=arguments,
    )


def state(run: Run) -> str:
    """Return the state as another process wrote it."""
    run.refresh_from_db()
    return run.state


def watched(run: Run, later_s: float = 0) -> Watched:
    """Return what a page would show, now or some seconds later."""
    run.refresh_from_db()
    return watch_run(run=run, at=timezone.now() + timedelta(seconds=later_s))


def in_mid_run(run: Run) -> bool:
    """Return whether the run has reported several steps."""
    return watched(run).done >= 3


def test_a_run_goes_through_the_worker(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    celery_worker(**surroundings)
    run = start("add_up", numbers=[1, 2, 3])
    wait_until(lambda: state(run) == RunState.DONE, what="The run")
    assert run.result == {"sum": 6}
    assert watched(run).percent == 100


def test_a_run_asked_for_while_no_worker_is_there_is_done_when_one_comes(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    run = start("add_up", numbers=[4])
    assert (state(run), watched(run).text) == (RunState.WAITING, "Waiting to start")
    celery_worker(**surroundings)
    wait_until(lambda: state(run) == RunState.DONE, what="The run")


def test_progress_is_seen_while_the_rows_are_not(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    celery_worker(**surroundings)
    run = start("write_slowly", name="seen", steps=30)
    wait_until(lambda: in_mid_run(run), what="Progress")
    assert (state(run), watched(run).total) == (RunState.RUNNING, 30)
    assert not Client.objects.exists()
    wait_until(lambda: state(run) == RunState.DONE, what="The run")
    assert Client.objects.count() == 30


def test_cancel_reaches_the_worker_and_undoes_the_transaction(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    celery_worker(**surroundings)
    run = start("write_slowly", name="cancelled", steps=LONG)
    wait_until(lambda: in_mid_run(run), what="Progress")
    cancel_run(run=run, at=timezone.now())
    wait_until(lambda: state(run) == RunState.CANCELLED, what="Cancel", seconds=5)
    assert not Client.objects.exists()


def test_a_killed_worker_leaves_nothing_half_written_and_its_run_is_shown_as_lost(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    worker = celery_worker(**surroundings)
    run = start("write_slowly", name="killed", steps=LONG)
    wait_until(lambda: in_mid_run(run), what="Progress")
    worker.kill()
    assert not Client.objects.exists()
    assert not watched(run).is_lost
    assert watched(run, later_s=SILENT_FOR_S + 1).is_lost


def test_after_a_kill_the_next_worker_does_new_runs_and_not_the_lost_one_again(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    worker = celery_worker(**surroundings)
    lost = start("write_slowly", name="lost", steps=LONG)
    wait_until(lambda: in_mid_run(lost), what="Progress")
    worker.kill()
    celery_worker(**surroundings)
    run = start("add_up", numbers=[1])
    wait_until(lambda: state(run) == RunState.DONE, what="The run")
    assert not Client.objects.exists()
    assert watched(lost, later_s=SILENT_FOR_S + 1).is_lost


def test_a_run_whose_child_process_is_killed_is_handed_back_and_not_done_twice(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    worker = celery_worker(**surroundings)
    run = start("write_slowly", name="child", steps=LONG)
    wait_until(lambda: in_mid_run(run), what="Progress")
    worker.kill_the_child_at_work()
    next_run = start("add_up", numbers=[1])
    wait_until(lambda: state(next_run) == RunState.DONE, what="The next run")
    assert not Client.objects.exists()
    assert watched(run, later_s=SILENT_FOR_S + 1).is_lost
    assert Run.objects.filter(service=run.service).count() == 1


def test_a_run_of_a_killed_worker_is_ended_and_one_of_a_lost_queue_is_done(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    import redis

    worker = celery_worker(**surroundings)
    lost = start("write_slowly", name="lost", steps=LONG)
    wait_until(lambda: in_mid_run(lost), what="Progress")
    worker.kill()
    waiting = start("add_up", numbers=[1])
    redis.Redis.from_url(surroundings["REDIS_URL"]).flushall()
    celery_worker(**surroundings)
    later = timezone.now() + timedelta(seconds=SILENT_FOR_S + 1)
    assert pick_up_runs(at=later, go_on=lambda: None) == {"set off": 1, "ended": 1}
    wait_until(lambda: state(waiting) == RunState.DONE, what="The run that was lost with Redis")
    assert state(lost) == RunState.FAILED
    assert not Client.objects.exists()


def test_a_run_handed_out_twice_works_once(
    surroundings: Surroundings, celery_worker: StartWorker
) -> None:
    from celery import current_app

    celery_worker(**surroundings)
    run = start("write_slowly", name="twice", steps=2)
    current_app.send_task("sites.run", kwargs={"run_id": run.pk})
    last = start("add_up", numbers=[1])
    wait_until(lambda: state(last) == RunState.DONE, what="The last run")
    assert state(run) == RunState.DONE
    assert Client.objects.count() == 2
