"""What tests of bring-home rounds share."""

import pytest

from sites.kernel.engines.roles import Role
from sites.models import Controller, User
from tests import make
from tests.services.readings.on_timers import clock_in_mild_ground


@pytest.fixture
def clock() -> Controller:
    """A clock whose ground has a known warmth."""
    return clock_in_mild_ground()


@pytest.fixture
def person() -> User:
    """Our technician."""
    return make.user(Role.TECHNICIAN)
