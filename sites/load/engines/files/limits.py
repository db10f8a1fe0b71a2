"""How much of a file is read, and why one is refused."""

from dataclasses import dataclass


class Unfit(Exception):
    """The file is not read. `reason` is one of the words that `services/load/refuse.py` puts."""

    def __init__(self, reason: str, **facts: int | str) -> None:
        super().__init__(reason)
        self.reason, self.facts = reason, facts


@dataclass(frozen=True)
class Limits:
    """The most that one file may hold, and that reading it may take."""

    rows: int
    cells: int
    memory_bytes: int
    cpu_seconds: int
    seconds: int


class Count:
    """Counts rows and cells of all sheets of a file; raises `Unfit` once there are too many."""

    def __init__(self, limits: Limits) -> None:
        self._limits, self._rows, self._cells = limits, 0, 0

    def add(self, width: int) -> None:
        """Take one row of so many cells in."""
        self.add_sheet(1, width)

    def add_sheet(self, rows: int, width: int) -> None:
        """Take so many rows in at once."""
        self._rows += rows
        self._cells += rows * max(width, 1)
        if self._rows > self._limits.rows:
            raise Unfit("rows", most=self._limits.rows)
        if self._cells > self._limits.cells:
            raise Unfit("cells", most=self._limits.cells)
