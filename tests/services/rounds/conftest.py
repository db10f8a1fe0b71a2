"""A dispatcher, and a controller with three stations."""

import pytest

from sites.kernel.engines.roles import Role
from sites.models import Controller, User
from tests import make


@pytest.fixture
def user(db: None) -> User:
    """A dispatcher."""
    return make.user(Role.DISPATCHER)


@pytest.fixture
def clock(db: None) -> Controller:
    """A controller with three stations, on a property with a season."""
    place = make.place(season_start="06-20", season_end="10-01", code="Elm")
    made = make.controller(property=place, name="A")
    for number in (1, 2, 3):
        make.station(controller=made, number=number)
    return made
