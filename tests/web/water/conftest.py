"""A property whose climate is known, for the sheet of what is missing."""

import pytest

from sites.models import Property
from tests import make, make_water
from tests.cast import Cast


@pytest.fixture
def park(cast: Cast) -> Property:
    """A property whose climate is known."""
    make_water.climate()
    return make.place(code="Lawn Park", climate_table="Valley")
