"""GNU gettext's programs, which gather the texts of the code."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from tests.services_real.needs import Missing


@contextmanager
def xgettext_program() -> Iterator[str]:
    """Yield the path of xgettext.

    Raises:
        Missing: it is not installed.
    """
    path = shutil.which("xgettext")
    if path is None:
        raise Missing("xgettext", "gettext")
    yield path
