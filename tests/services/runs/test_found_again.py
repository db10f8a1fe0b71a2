"""Runs whose process or queue is gone: stopped, ended in words, or sent again by the round."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from sites.models import Run, RunState
from sites.runs import services as runs
from sites.runs.services import (
    LATE_AFTER_S,
    SILENT_FOR_S,
    cancel_run,
    execute_run,
    pick_up_runs,
    watch_run,
)
from tests import background
from tests.services.runs.test_runs import no_thread_is_left, start, waiting  # noqa: F401

pytestmark = pytest.mark.django_db(transaction=True)


def lost(silent_s: float) -> Run:
    """A run whose process was killed so many seconds ago."""
    run = waiting(numbers=[1])
    Run.objects.filter(pk=run.pk).update(
        state=RunState.RUNNING, started_at=timezone.now() - timedelta(seconds=silent_s)
    )
    run.refresh_from_db()
    return run


def pick_up(at: Any = None) -> dict[str, int]:
    return pick_up_runs(at=at or timezone.now(), go_on=lambda: None)


@pytest.fixture
def redis(settings: Any, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """A queue that keeps what it is sent."""
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    sent: list[int] = []
    monkeypatch.setattr(
        runs.current_app, "send_task", lambda name, kwargs, **how: sent.append(kwargs["run_id"])
    )
    return sent


def test_stop_ends_a_run_whose_process_is_gone() -> None:
    gone, alive = lost(SILENT_FOR_S + 5), lost(SILENT_FOR_S - 5)
    for run in (gone, alive):
        cancel_run(run=run, at=timezone.now())
        run.refresh_from_db()
    assert (gone.state, alive.state) == (RunState.CANCELLED, RunState.RUNNING)
    assert "process that did it is gone" in gone.problem


def test_the_round_ends_runs_that_went_silent_in_words() -> None:
    gone, alive = lost(SILENT_FOR_S + 5), lost(SILENT_FOR_S - 5)
    assert pick_up() == {"set off": 0, "ended": 1}
    for run in (gone, alive):
        run.refresh_from_db()
    assert (gone.state, alive.state) == (RunState.FAILED, RunState.RUNNING)
    assert "Do it again" in gone.problem
    assert gone.ended_at


def test_a_slow_process_that_finishes_after_all_has_the_last_word() -> None:
    run = lost(SILENT_FOR_S + 5)
    pick_up()
    runs._end(run, RunState.DONE, result=1)
    run.refresh_from_db()
    assert (run.state, run.problem) == (RunState.DONE, "")


def test_the_round_sends_again_what_waited_in_a_lost_queue(redis: list[int]) -> None:
    now = timezone.now()
    old, new = waiting(numbers=[1]), waiting(numbers=[2])
    Run.objects.filter(pk=old.pk).update(asked_at=now - timedelta(seconds=LATE_AFTER_S + 1))
    Run.objects.filter(pk=new.pk).update(asked_at=now - timedelta(seconds=LATE_AFTER_S - 1))
    assert pick_up(now) == {"set off": 1, "ended": 0}
    assert redis == [old.pk]


def test_without_a_queue_the_round_does_what_a_killed_process_left_waiting() -> None:
    run = waiting(numbers=[1, 2])
    assert pick_up() == {"set off": 1, "ended": 0}
    run.refresh_from_db()
    assert (run.state, run.result) == (RunState.DONE, {"sum": 3})


def test_a_queue_that_cannot_be_reached_leaves_the_run_to_the_round(settings: Any) -> None:
    settings.REDIS_URL = "redis://127.0.0.1:1/0"
    down = {"default": {"BACKEND": "django.core.cache.backends.redis.RedisCache",
                        "LOCATION": settings.REDIS_URL}}  # fmt: skip
    settings.CACHES = down
    run = start("add_up", numbers=[1])
    run.refresh_from_db()
    assert run.state == RunState.WAITING
    late = timezone.now() + timedelta(seconds=LATE_AFTER_S + 1)
    assert watch_run(run=run, at=late).is_late
    cancel_run(run=run, at=timezone.now())
    run.refresh_from_db()
    assert run.state == RunState.CANCELLED


@pytest.mark.parametrize("error", ["SystemExit", "GeneratorExit"])
def test_an_error_that_is_no_exception_ends_the_run_too(
    error: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def panic(progress: Any, **given: Any) -> None:
        raise {"SystemExit": SystemExit, "GeneratorExit": GeneratorExit}[error]

    monkeypatch.setattr(background, "add_up", panic)
    run = waiting(numbers=[1])
    try:
        execute_run(run.pk)
    except SystemExit:
        assert error == "SystemExit"
    run.refresh_from_db()
    assert run.state == RunState.FAILED
    assert run.ref in run.problem
