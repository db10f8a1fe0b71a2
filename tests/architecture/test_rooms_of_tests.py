"""Tests are filed by kind, then by room; what crosses rooms stands in its kind's folder."""

import pytest

from tests.architecture.rooms import ROOMS
from tests.architecture.source import CHECKOUT, tracked_files

KINDS = ("engines", "services", "web", "browser", "models")
NAMES = {room.partition(".")[2] for room in ROOMS}


@pytest.mark.parametrize("kind", KINDS)
def test_a_folder_of_tests_is_named_as_a_room(kind: str) -> None:
    home = CHECKOUT / "tests" / kind
    below = [path.relative_to(home) for path in tracked_files() if path.is_relative_to(home)]
    folders = {path.parent.as_posix() for path in below} - {"."}
    assert len(folders) > 5
    assert folders - NAMES == set()
