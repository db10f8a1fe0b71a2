"""Run a service in the background, with progress, cancel and a result.

A background service is a function `service(progress, *, ..., **later)` named in the setting
BACKGROUND_SERVICES. It is called with a `Progress`, returns what can be written as JSON, and raises
`UnableToFinish` in the user's words when the work cannot be done. By default it runs in a
thread of the same process; with REDIS_URL set, a Celery worker runs it.

Progress and the wish to cancel live in the cache, outside the transaction that the service may
hold: that transaction would hide its own progress row on PostgreSQL, and block it on SQLite.

The run in the database is the truth, the queue only a hint: `pick_up_runs` sends again what still
waits, and ends what went silent. A run that is handed out twice is claimed, and done, once.
"""

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Protocol

from celery import current_app
from django.conf import settings
from django.core.cache import cache
from django.db import connections, transaction
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext as _
from kombu.exceptions import OperationalError

from sites.kernel.lazily import lazily
from sites.models import Run, RunState, User

redis = lazily("redis")
logger = logging.getLogger(__name__)

KEEP_PROGRESS_S = 24 * 60 * 60
BEAT_EVERY_S = 0.3
SILENT_FOR_S = 90
LATE_AFTER_S = 60


class UnableToFinish(Exception):
    """The service cannot do its work; the message tells the user why and what to do."""


class Cancelled(Exception):
    """A user cancelled the run; its open transaction is rolled back."""


class Progress(Protocol):
    """What a background service tells about itself."""

    def say(self, text: str, done: int = 0, total: int = 0) -> None:
        """Report how far the work is; raises `Cancelled` when a user cancelled the run."""


class Silent:
    """Progress that nobody watches, for commands and tests."""

    def say(self, text: str, done: int = 0, total: int = 0) -> None:
        """Do nothing."""


@dataclass
class CachedProgress:
    """Progress kept in the cache, written a few times a second at most."""

    ref: str
    _last: float = field(default=0.0)
    _text: str = field(default="")

    def say(self, text: str, done: int = 0, total: int = 0) -> None:
        """Write progress when it is due; raise `Cancelled` when a user cancelled the run."""
        now = time.monotonic()
        is_last = total > 0 and done == total
        if text == self._text and now - self._last < BEAT_EVERY_S and not is_last:
            return
        self._last, self._text = now, text
        at = timezone.now().timestamp()
        _note(_progress_key(self.ref), {"text": text, "done": done, "total": total, "at": at})
        if _noted(_cancel_key(self.ref)):
            raise Cancelled


@dataclass(frozen=True)
class Watched:
    """What a page shows of a run.

    `is_lost` = it went silent: its process is gone. `is_late` = it has waited longer than it
    should: the worker or the queue does not answer.
    """

    text: str
    done: int
    total: int
    is_lost: bool
    is_late: bool = False

    @property
    def percent(self) -> int | None:
        """Whole percent, or None while the total is not known."""
        return min(100, 100 * self.done // self.total) if self.total else None


def start_run(
    *, service: str, title: str, by: User | None, at: datetime, arguments: dict[str, Any]
) -> Run:
    """Write the run down and set it off as soon as the surrounding transaction is kept."""
    run = Run.objects.create(
        service=service, title=title, asked_by=by, asked_at=at, arguments=arguments
    )
    CachedProgress(run.ref).say(_("Waiting to start"))
    transaction.on_commit(lambda: _set_off(run.pk))
    return run


def _set_off(run_id: int) -> None:
    if settings.REDIS_URL:
        _send(run_id)
        return
    threading.Thread(target=_in_thread, args=(run_id,), name=f"run-{run_id}", daemon=True).start()


def _send(run_id: int) -> bool:
    """Put the run in the queue. While that cannot be reached, the next round finds the run."""
    try:
        current_app.send_task("sites.run", kwargs={"run_id": run_id}, retry=False)
    except (OperationalError, OSError):
        logger.warning("Redis does not answer: run %s waits for the next round", run_id)
        return False
    return True


def _in_thread(run_id: int) -> None:
    try:
        execute_run(run_id)
    finally:
        connections.close_all()


def execute_run(run_id: int) -> None:
    """Claim the run and call its service. Nothing happens if another worker has claimed it."""
    claimed = Run.objects.filter(pk=run_id, state=RunState.WAITING).update(
        state=RunState.RUNNING, started_at=timezone.now()
    )
    if not claimed:
        return
    run = Run.objects.get(pk=run_id)
    try:
        service: Callable[..., Any] = import_string(settings.BACKGROUND_SERVICES[run.service])
        result = service(CachedProgress(run.ref), **run.arguments)
    except Cancelled:
        _end(run, RunState.CANCELLED)
    except UnableToFinish as problem:
        _end(run, RunState.FAILED, problem=str(problem))
    except BaseException as error:
        # Also what is no `Exception`: a library in another language, or a worker told to end.
        logger.exception("Background run %s failed", run.ref)
        problem_text = _(
            "Something broke on our side, and nothing was changed. Try again; if it happens "
            "again, pass on this reference: %(reference)s."
        ) % {"reference": run.ref}
        _end(run, RunState.FAILED, problem=problem_text)
        if isinstance(error, SystemExit | KeyboardInterrupt):
            raise
    else:
        _end(run, RunState.DONE, result=result)


def _end(run: Run, state: RunState, *, result: Any = None, problem: str = "") -> None:
    run.state, run.result, run.problem = state, result, problem
    run.ended_at = timezone.now()
    run.save(update_fields=["state", "result", "problem", "ended_at"])


def cancel_run(*, run: Run, at: datetime) -> None:
    """Ask a run to stop. One that waits or is lost stops at once, one that works at its next word.

    A process that was only slow, and finishes after all, says so in the end: that is the truth.
    """
    _note(_cancel_key(run.ref), True)
    waiting = Run.objects.filter(pk=run.pk, state=RunState.WAITING)
    if not waiting.update(state=RunState.CANCELLED, ended_at=at):
        run.refresh_from_db()
        if watch_run(run=run, at=at).is_lost:
            _end_lost(run, RunState.CANCELLED, at)


def pick_up_runs(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Set off what has waited too long, and end what went silent: its process is gone.

    Returns:
        How many runs were set off, and how many were ended.
    """
    done = {"set off": 0, "ended": 0}
    for run in Run.objects.unfinished().order_by("pk"):
        seen = watch_run(run=run, at=at)
        if seen.is_late and settings.REDIS_URL:
            done["set off"] += _send(run.pk)
        elif seen.is_late:
            # Without a queue there is no other process to do it.
            execute_run(run.pk)
            done["set off"] += 1
        elif seen.is_lost:
            done["ended"] += _end_lost(run, RunState.FAILED, at)
        go_on()
    return done


def _end_lost(run: Run, state: RunState, at: datetime) -> int:
    words = _(
        "This went silent: the process that did it is gone. Do it again: what it had finished "
        "before that is kept."
    )
    mine = Run.objects.filter(pk=run.pk, state=RunState.RUNNING, started_at=run.started_at)
    return mine.update(state=state, problem=words, ended_at=at)


def watch_run(*, run: Run, at: datetime) -> Watched:
    """Return the progress of a run as last reported."""
    told = _noted(_progress_key(run.ref)) or {}
    # It may have waited long in the queue, reported nothing yet, and only just been started.
    known = [run.asked_at.timestamp(), told.get("at", 0.0)]
    last = max([*known, run.started_at.timestamp()] if run.started_at else known)
    silent_s = at.timestamp() - last
    is_lost = run.state == RunState.RUNNING and silent_s > SILENT_FOR_S
    is_late = run.state == RunState.WAITING and silent_s > LATE_AFTER_S
    return Watched(
        told.get("text", ""), told.get("done", 0), told.get("total", 0), is_lost, is_late
    )


@dataclass(frozen=True)
class RunCounts:
    """How much long work is unfinished. `stuck` = of these, what is late or lost."""

    waiting: int
    running: int
    stuck: int


def runs_now(*, at: datetime) -> RunCounts:
    """Return how much long work waits, is done, and of both, stands still."""
    runs = list(Run.objects.unfinished().order_by("pk"))
    seen = [watch_run(run=run, at=at) for run in runs]
    return RunCounts(
        sum(run.state == RunState.WAITING for run in runs),
        sum(run.state == RunState.RUNNING for run in runs),
        sum(each.is_late or each.is_lost for each in seen),
    )


def goes_on(run: Run) -> bool:
    """Return whether a run waits or works, as far as the database knows."""
    return run.state in (RunState.WAITING, RunState.RUNNING)


def is_under_way(*, run: Run, at: datetime) -> bool:
    """Return whether a run waits or works; one that is lost does neither."""
    return goes_on(run) and not watch_run(run=run, at=at).is_lost


def _note(key: str, value: Any) -> None:
    """Write to the cache. Without it nobody sees progress, but the work is done."""
    try:
        cache.set(key, value, KEEP_PROGRESS_S)
    except (redis.RedisError, OSError):
        logger.warning("The cache does not answer: %s is not kept", key)


def _noted(key: str) -> Any:
    try:
        return cache.get(key)
    except (redis.RedisError, OSError):
        return None


def _progress_key(ref: str) -> str:
    return f"run-progress-{ref}"


def _cancel_key(ref: str) -> str:
    return f"run-cancel-{ref}"
