"""A search that began yesterday on the way of a file of its own, and a technician who reads it."""

from datetime import timedelta

import pytest
from django.test import Client

from faults.models import Search
from tests import make, make_searches
from tests.cast import Cast
from tests.make_searches import Way


@pytest.fixture
def search(way: Way) -> Search:
    """The search along the way."""
    begun = make.NOW - timedelta(days=1)
    return make_searches.search(
        fault=way.fault, station=way.station, wire=way.wire, started_at=begun
    )


@pytest.fixture
def browser(client: Client, cast: Cast) -> Client:
    """Signed in as a technician."""
    client.force_login(cast.technician, backend="django.contrib.auth.backends.ModelBackend")
    return client
