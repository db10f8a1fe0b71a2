"""What was sent, how often, and what was acknowledged: kept by those who send."""

import threading
from collections import Counter
from dataclasses import dataclass, field

KINDS = (
    "fault by a program",
    "reading by a program",
    "reading on a page",
    "stopgap on a page",
    "reading from a phone",
    "photo from a phone",
    "quote mailed from a page",
    "daily mail asked for",
)


@dataclass
class Written:
    """One thing to write; `answers` = what each acknowledgement said was made."""

    kind: str
    mark: str
    sendings: int = 0
    answers: list[str] = field(default_factory=list)
    turned_away: str = ""

    @property
    def is_acknowledged(self) -> bool:
        """Whether its sender was told that it is kept."""
        return bool(self.answers)


class Ledger:
    """All of them, from all who send."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self.rows: list[Written] = []
        self.statuses: Counter[str] = Counter()

    def begin(self, kind: str) -> Written:
        """Enter a new one, under a mark that stands in what it writes."""
        with self._lock:
            row = Written(kind, f"mark-{len(self.rows)}")
            self.rows.append(row)
            return row

    def heard(self, row: Written, status: int | str, *, made: str = "", refused: str = "") -> None:
        """Note one sending: its status, what was made where it was taken, or why it was not."""
        with self._lock:
            row.sendings += 1
            self.statuses[str(status)] += 1
            if made:
                row.answers.append(made)
            elif refused:
                row.turned_away = refused
