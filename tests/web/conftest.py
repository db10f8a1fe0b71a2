"""Pages need the hashed static files that their templates name."""

import pytest


@pytest.fixture(autouse=True)
def _static_files(collected_static: None) -> None:
    """Collect them once before the first page is asked for."""
