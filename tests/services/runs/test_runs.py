"""Long work in the background: progress, cancel, failure in words, and what is lost."""

import threading
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.utils import timezone

from sites.models import Client, Run, RunState
from sites.runs import services as runs
from sites.runs.services import (
    SILENT_FOR_S,
    CachedProgress,
    Cancelled,
    cancel_run,
    execute_run,
    start_run,
    watch_run,
)
from tests import background, make
from tests.services_real.needs import wait_until

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def no_thread_is_left() -> Iterator[None]:
    """Let paused services go on, and wait for their threads before tables are emptied."""
    background.GO_ON.clear()
    yield
    background.GO_ON.set()
    for thread in threading.enumerate():
        if thread.name.startswith("run-"):
            thread.join(timeout=20)
            assert not thread.is_alive()


def start(service: str, **arguments: Any) -> Run:
    """Start one of the tests' services by name."""
    return start_run(
        service=f"test {service}",
        title=service,
        by=None,
        at=timezone.now(),
        arguments=arguments,
    )


def ended(run: Run) -> Run:
    """Wait for the run and return it as it ended."""

    def is_over() -> bool:
        run.refresh_from_db()
        return run.state not in {RunState.WAITING, RunState.RUNNING}

    wait_until(is_over, what="The run")
    return run


def waiting(service: str = "add_up", **arguments: Any) -> Run:
    """Write a run down without setting it off."""
    return Run.objects.create(
        service=f"test {service}", title=service, asked_at=make.NOW, arguments=arguments
    )


def test_a_run_keeps_its_result_and_its_times() -> None:
    run = ended(start("add_up", numbers=[1, 2, 3]))
    assert (run.state, run.result, run.problem) == (RunState.DONE, {"sum": 6}, "")
    assert run.started_at
    assert run.ended_at
    assert run.asked_at <= run.started_at <= run.ended_at


def test_the_last_progress_stays_to_be_shown() -> None:
    run = ended(start("add_up", numbers=[1, 2]))
    seen = watch_run(run=run, at=timezone.now())
    assert (seen.text, seen.done, seen.total, seen.percent) == ("Adding", 2, 2, 100)


def test_a_run_waits_for_the_transaction_that_asked_for_it() -> None:
    with transaction.atomic():
        run = start("add_up", numbers=[1])
        assert not [each for each in threading.enumerate() if each.name == f"run-{run.pk}"]
    assert ended(run).state == RunState.DONE


def test_an_undone_transaction_starts_nothing() -> None:
    with transaction.atomic():
        start("add_up", numbers=[1])
        transaction.set_rollback(True)
    assert not Run.objects.exists()


def test_a_refusal_is_kept_in_the_users_words() -> None:
    run = ended(start("refuse"))
    assert run.state == RunState.FAILED
    assert run.problem == "The file has no heading row. Add one and load it again."


def test_an_unforeseen_failure_gives_a_reference_and_no_detail(
    caplog: pytest.LogCaptureFixture,
) -> None:
    run = ended(start("break_down"))
    assert run.state == RunState.FAILED
    assert run.ref in run.problem
    assert "secret detail" not in run.problem
    assert run.ref in caplog.text
    assert "secret detail" in caplog.text


def test_an_unforeseen_failure_leaves_nothing_half_written() -> None:
    ended(start("break_down"))
    assert not Client.objects.filter(name="half-written").exists()


def test_a_service_that_does_not_exist_fails_with_a_reference() -> None:
    run = ended(start("never_written"))
    assert (run.state, run.ref in run.problem) == (RunState.FAILED, True)


def test_progress_of_a_long_transaction_is_seen_while_its_rows_are_not() -> None:
    run = start("write_and_wait", name="long")
    wait_until(lambda: watch_run(run=run, at=timezone.now()).done == 1, what="Progress")
    seen = watch_run(run=run, at=timezone.now())
    assert (seen.text, seen.percent, seen.is_lost) == ("Holding one transaction", 50, False)
    assert not Client.objects.filter(name="long").exists()
    background.GO_ON.set()
    assert ended(run).result == "long"
    assert Client.objects.filter(name="long").exists()


def test_cancel_stops_a_working_run_and_undoes_its_transaction() -> None:
    run = start("write_and_wait", name="cancelled")
    wait_until(lambda: watch_run(run=run, at=timezone.now()).done == 1, what="Progress")
    cancel_run(run=run, at=timezone.now())
    assert ended(run).state == RunState.CANCELLED
    assert not Client.objects.filter(name="cancelled").exists()


def test_cancel_ends_a_waiting_run_at_once_and_it_never_works() -> None:
    run = waiting(numbers=[1])
    cancel_run(run=run, at=timezone.now())
    execute_run(run.pk)
    run.refresh_from_db()
    assert (run.state, run.started_at) == (RunState.CANCELLED, None)
    assert run.ended_at


def test_cancel_after_the_end_changes_nothing() -> None:
    run = ended(start("add_up", numbers=[1]))
    cancel_run(run=run, at=timezone.now())
    run.refresh_from_db()
    assert run.state == RunState.DONE


def test_a_run_that_is_claimed_twice_works_once() -> None:
    run = waiting(service="write_slowly", name="once", steps=1)
    both = [threading.Thread(target=runs._in_thread, args=(run.pk,)) for _ in range(2)]
    for thread in both:
        thread.start()
    for thread in both:
        thread.join(timeout=20)
    assert Client.objects.filter(name="once 1").count() == 1
    run.refresh_from_db()
    assert run.state == RunState.DONE


def test_a_finished_run_is_not_done_again() -> None:
    run = waiting(numbers=[1])
    execute_run(run.pk)
    first_end = Run.objects.get(pk=run.pk).ended_at
    execute_run(run.pk)
    assert Run.objects.get(pk=run.pk).ended_at == first_end


def test_a_silent_run_is_shown_as_lost_only_after_a_while() -> None:
    run = waiting()
    CachedProgress(run.ref).say("Adding", 1, 2)
    run.state, run.started_at = RunState.RUNNING, timezone.now()
    run.save()
    soon, late = (timezone.now() + timedelta(seconds=SILENT_FOR_S + s) for s in (-5, 5))
    assert not watch_run(run=run, at=soon).is_lost
    assert watch_run(run=run, at=late).is_lost


def test_a_run_that_waited_long_is_not_lost_when_it_starts() -> None:
    run = waiting()
    run.state, run.started_at = RunState.RUNNING, timezone.now()
    run.asked_at = timezone.now() - timedelta(seconds=10 * SILENT_FOR_S)
    run.save()
    assert not watch_run(run=run, at=timezone.now()).is_lost


def test_a_run_that_ended_is_never_lost() -> None:
    run = ended(start("add_up", numbers=[1]))
    assert not watch_run(run=run, at=timezone.now() + timedelta(days=2)).is_lost


@pytest.mark.parametrize("total", [0, 5000])
def test_progress_in_a_tight_loop_is_written_a_few_times_only(
    total: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    writes = []
    monkeypatch.setattr(cache, "set", lambda *args: writes.append(args))
    progress = CachedProgress("tight")
    for done in range(1, 4999):
        progress.say("Reading", done if total else 0, total)
    assert 1 <= len(writes) <= 10


def test_the_last_step_is_always_written() -> None:
    progress = CachedProgress("last")
    progress.say("Reading", 1, 2)
    progress.say("Reading", 2, 2)
    assert cache.get(runs._progress_key("last"))["done"] == 2


def test_a_wish_to_cancel_is_met_at_the_next_word() -> None:
    run = waiting()
    cancel_run(run=run, at=timezone.now())
    with pytest.raises(Cancelled):
        CachedProgress(run.ref).say("Next")


def test_the_percent_is_unknown_until_the_total_is() -> None:
    assert runs.Watched("Reading", 5, 0, is_lost=False).percent is None
    assert runs.Watched("Reading", 7, 5, is_lost=False).percent == 100
