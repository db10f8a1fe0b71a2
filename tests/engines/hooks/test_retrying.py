"""When a message is tried again. Our own rule, no source."""

from datetime import timedelta

import pytest

from reports.hooks.engines.retrying import LONGEST_WAIT, MOST_TRIES, wait_after


def test_it_waits_from_a_minute_to_a_day() -> None:
    waits = [wait_after(tries) for tries in range(1, MOST_TRIES)]
    minutes = [wait and wait.total_seconds() / 60 for wait in waits]
    assert minutes == [1, 5, 30, 120, 360, 720, 1440, 1440]
    assert timedelta(days=1) == LONGEST_WAIT


def test_after_the_last_try_it_is_given_up() -> None:
    assert MOST_TRIES == 9
    assert wait_after(8) == timedelta(days=1)
    assert wait_after(9) is None
    assert wait_after(10) is None


def test_nothing_waits_before_it_was_tried() -> None:
    with pytest.raises(ValueError, match="tries >= 1, got 0"):
        wait_after(0)
