"""The scene, rebuilt for each test."""

import pytest

from tests.services.work.scene import Scene, make_scene


@pytest.fixture
def scene(db: None) -> Scene:
    """One property with a reported fault on B:7 and B:9, its office and a crew."""
    return make_scene()
