"""Static files: names that change with what is in them, and files inside installed packages.

A package's folder holds more than the file that pages use: collecting all of it would copy and
compress megabytes that nobody loads.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import plotly
from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage
from whitenoise.storage import CompressedManifestStaticFilesStorage

PLOTLY = Path(plotly.__file__).parent / "package_data" / "plotly.min.js"


class HashedFiles(CompressedManifestStaticFilesStorage):
    """Hashed, compressed names, also where one of our scripts imports another.

    Without that a browser could join a new script to an old one that it has kept.
    """

    # Django's own patterns would also read the scripts of packages, whose imports lead nowhere.
    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        (
            "faults/*.js",
            (
                (r"""(?P<matched>from ["'](?P<url>\.{1,2}/[^"']+)["'])""", 'from "%(url)s"'),
                (
                    r"""(?P<matched>await import\(["'](?P<url>\.{1,2}/[^"']+)["']\))""",
                    'await import("%(url)s")',
                ),
            ),
        ),
    )


class PackagedFile(FileSystemStorage):
    """The folder of one packaged file, collected under `prefix`."""

    prefix = "plotly"


class PackagedFiles(BaseFinder):
    """Finds Plotly's script as `plotly/plotly.min.js`, and nothing beside it."""

    address = f"{PackagedFile.prefix}/{PLOTLY.name}"

    def find(self, path: str, find_all: bool = False, **later: Any) -> Any:
        """Return the file's place on disk, or an empty list when `path` is not it."""
        if path != self.address:
            return []
        return [str(PLOTLY)] if find_all or later.get("all") else str(PLOTLY)

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[object]:
        """Yield the one file and the storage that reads it."""
        yield PLOTLY.name, PackagedFile(location=PLOTLY.parent)

    def check(self, **kwargs: Any) -> Any:
        """Nothing can be set wrong."""
        return []
