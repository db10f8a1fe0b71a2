"""Pages need the hashed static files that their templates name; many read Fern Row."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
import time_machine

from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make
from tests.web.fern_row import FernRow, make_fern_row


@pytest.fixture(autouse=True)
def _static_files(collected_static: None) -> None:
    """Collect them once before the first page is requested."""


@pytest.fixture
def on_the_day() -> Iterator[None]:
    """It is make.TODAY."""
    with time_machine.travel(make.NOW, tick=False):
        yield


@pytest.fixture
def fern(db: None) -> FernRow:
    """Fern Row as it stands."""
    return make_fern_row()


@pytest.fixture
def manager(db: None) -> User:
    """A water manager of everything."""
    return make.user(Role.WATER_MANAGER)


@pytest.fixture
def late_autumn() -> Iterator[None]:
    """20 November 2026."""
    with time_machine.travel(datetime(2026, 11, 20, 18, 0, tzinfo=UTC), tick=False):
        yield
