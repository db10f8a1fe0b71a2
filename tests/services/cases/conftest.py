"""The scene, rebuilt for each test."""

import pytest

from tests.services.cases.scene import Scene, make_scene


@pytest.fixture
def scene(db: None) -> Scene:
    """One property with stations B:7 and B:9, its owner and its technician."""
    return make_scene(warranty_days=365)
