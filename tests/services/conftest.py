"""The yard, rebuilt for each test."""

import pytest

from tests.services.yard import Yard, make_yard


@pytest.fixture
def yard(db: None) -> Yard:
    """A controller, three legs, two stations, four wires."""
    return make_yard()
