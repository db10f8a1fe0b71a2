"""Static files that come inside an installed package, one by one.

A package's folder holds more than the file that pages use: collecting all of it would copy and
compress megabytes that nobody loads.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import plotly
from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage

PLOTLY = Path(plotly.__file__).parent / "package_data" / "plotly.min.js"


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

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[Any]:
        """Yield the one file and the storage that reads it."""
        yield PLOTLY.name, PackagedFile(location=PLOTLY.parent)

    def check(self, **kwargs: Any) -> Any:
        """Nothing can be set wrong."""
        return []
