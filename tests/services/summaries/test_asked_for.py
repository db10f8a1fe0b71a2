"""The worker is asked to keep summaries once for all that was changed within a second."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from redis.exceptions import ConnectionError as RedisIsGone

from faults.readings.services.readings import take_reading
from reports.models import PropertySummary
from reports.summaries.services import summaries
from sites.models import Station
from tests import make

pytestmark = pytest.mark.django_db
NAME = "reports.keep_summaries"


@pytest.fixture
def asked(settings: Any, monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, float]]:
    """A queue that is there, and what it was sent: name and seconds to wait."""
    settings.REDIS_URL = "redis://nowhere.invalid"
    cache.delete(summaries.ASKED)
    sent: list[tuple[str, float]] = []

    def send(name: str, *, countdown: float, retry: bool) -> None:
        assert not retry
        sent.append((name, countdown))

    monkeypatch.setattr(summaries.current_app, "send_task", send)
    return sent


@pytest.fixture
def read(django_capture_on_commit_callbacks: Any) -> Any:
    """Take a reading of a station, and do what follows its transaction."""
    station = make.station()

    def take(value: float = 30.0, of: Station = station) -> None:
        today = make.NOW.date()
        with django_capture_on_commit_callbacks(execute=True):
            take_reading(station=of, kind="ohms", value=value, taken_on=today, today=today, by=None)

    return take


def current() -> set[tuple[int, str]]:
    """Return property and subject of each summary that nothing has touched since it was made."""
    return set(PropertySummary.objects.current().values_list("property", "subject"))


def test_two_changes_within_a_second_ask_once_and_one_after_it_again(
    asked: list[tuple[str, float]], read: Any
) -> None:
    with time_machine.travel(make.NOW, tick=False) as clock:
        read(30.0)
        clock.shift(timedelta(seconds=0.99))
        read(31.0)
        assert asked == [(NAME, 1)]
        clock.shift(timedelta(seconds=0.02))
        read(32.0)
        assert asked == [(NAME, 1), (NAME, 1)]


def test_properties_that_were_touched_within_the_second_are_all_marked(
    asked: list[tuple[str, float]], read: Any
) -> None:
    one, another = make.station(), make.station()
    summaries.keep_summaries(at=make.NOW, go_on=lambda: None)
    before = current()
    with time_machine.travel(make.NOW, tick=False):
        read(30.0, of=one)
        read(31.0, of=another)
    assert len(asked) == 1
    touched = {place for place, _subject in before - current()}
    assert touched == {one.controller.property_id, another.controller.property_id}


def test_while_redis_is_gone_the_change_is_kept_and_nothing_is_asked(
    asked: list[tuple[str, float]], read: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: object, **__: object) -> bool:
        raise RedisIsGone("nobody answers")

    monkeypatch.setattr(summaries.cache, "add", gone)
    read(30.0)
    assert asked == []
