"""A folder of central's lists, and the office whose dispatcher reads it."""

from pathlib import Path
from typing import Any

import pytest

from tests.services.reconcile.office import Office, make_office


@pytest.fixture
def office(db: None, settings: Any, tmp_path: Path) -> Office:
    """The office, whose dispatcher is the folder's user."""
    made = make_office()
    settings.CENTRAL_FOLDER, settings.CENTRAL_FOLDER_USER = tmp_path, made.user.username
    return made


@pytest.fixture
def folder(office: Office, tmp_path: Path) -> Path:
    """The folder, empty."""
    return tmp_path
