"""What a load would do, for people to look at before anything is written."""

import hashlib
from dataclasses import asdict, dataclass, field

SHOWN = 100
KEPT_PROBLEMS = 2000
KEPT_REMARKS = 200


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that stops the load: where it is, what is wrong and how to mend it."""

    sheet: str
    row: int | None
    column: str
    value: str
    text: str


@dataclass(frozen=True, slots=True)
class Change:
    """One field of one record that the file has otherwise."""

    row: int
    what: str
    column: str
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class ColumnMatch:
    """How one column was understood, with some of its values; `field` is empty where not used."""

    letter: str
    heading: str
    field: str
    samples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """Something that the file leaves open and only people know."""

    name: str
    text: str
    choices: tuple[tuple[str, str], ...]
    examples: tuple[str, ...]


@dataclass
class SheetReport:
    """What one sheet would do. Lists are cut for the page; counts are whole."""

    name: str
    kind: str = ""
    heading_row: int = 0
    columns: list[ColumnMatch] = field(default_factory=list)
    rows: int = 0
    added: int = 0
    changed: int = 0
    unchanged: int = 0
    problem_count: int = 0
    adds: list[tuple[int, str]] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def remark(self, text: str) -> None:
        """Add a remark once."""
        if len(self.remarks) < KEPT_REMARKS and text not in self.remarks:
            self.remarks.append(text)

    def problem(self, row: int | None, column: str, value: str, text: str) -> None:
        """Add a problem; beyond what anyone reads, only count it."""
        self.problem_count += 1
        if len(self.problems) < KEPT_PROBLEMS:
            self.problems.append(Problem(self.name, row, column, value[:120], text))


@dataclass
class Preview:
    """All of a load: sheet by sheet, the open questions, and what would be written in all.

    `digest` is the same exactly when the same would be written: what was shown is what is
    loaded, or nothing is.
    """

    filename: str
    sheets: list[SheetReport] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    made: dict[str, int] = field(default_factory=dict)
    digest: str = ""

    @property
    def problems(self) -> list[Problem]:
        """The problems of all sheets, in order."""
        return [problem for sheet in self.sheets for problem in sheet.problems]

    @property
    def problem_count(self) -> int:
        """How many problems there are, also those that are not kept."""
        return sum(sheet.problem_count for sheet in self.sheets)

    @property
    def can_load(self) -> bool:
        """Whether nothing stands in the way."""
        return not self.problem_count and not self.questions

    @property
    def is_empty(self) -> bool:
        """Whether the register already holds all of it."""
        return not any(sheet.added or sheet.changed for sheet in self.sheets)

    def to_json(self) -> dict[str, object]:
        """Return what the page shows, bounded however large the file is."""
        return {
            "filename": self.filename,
            "digest": self.digest,
            "can_load": self.can_load,
            "is_empty": self.is_empty,
            "problem_count": self.problem_count,
            "questions": [asdict(question) for question in self.questions],
            "remarks": self.remarks[:SHOWN],
            "made": self.made,
            "sheets": [_sheet_json(sheet) for sheet in self.sheets],
        }


def _sheet_json(sheet: SheetReport) -> dict[str, object]:
    """All problems are kept, for the workbook to mend; of the rest, what a page shows."""
    whole = asdict(sheet)
    for name in ("adds", "changes", "remarks"):
        whole[name] = whole[name][:SHOWN]
    return whole


class Digest:
    """A running fingerprint of everything that a load would write."""

    def __init__(self) -> None:
        self._hash = hashlib.sha256()

    def add(self, *parts: object) -> None:
        """Take one fact in."""
        self._hash.update("\x1f".join(map(str, parts)).encode())
        self._hash.update(b"\x1e")

    def done(self) -> str:
        """Return the fingerprint."""
        return self._hash.hexdigest()[:32]
