"""The day on which these tests are set."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
import time_machine


@pytest.fixture
def late_autumn() -> Iterator[None]:
    """20 November 2026: both worked spells are over."""
    with time_machine.travel(datetime(2026, 11, 20, 18, 0, tzinfo=UTC), tick=False):
        yield
