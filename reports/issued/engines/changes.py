"""What a document says otherwise than an earlier one, of the same period."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sites.documents.engines.document import Block, Document, Facts, Section, Table

MOST = 100
Row = tuple[str, ...]


@dataclass(frozen=True)
class Changed:
    """One line or fact: the heading it stands under, what it is, and its words before and now.

    "" before = it was not there; "" now = it is not there any more.
    """

    heading: str
    what: str
    before: str
    now: str


def changes(earlier: Document, later: Document) -> list[Changed]:
    """Return what differs in the sections that do not speak of the day they were made on."""
    after = {section.key: section for section in later.sections if not section.is_now}
    before = {section.key: section for section in earlier.sections if not section.is_now}
    found = [
        changed
        for key in dict.fromkeys([*before, *after])
        for changed in _of_section(before.get(key), after.get(key))
    ]
    return found[:MOST]


def _of_section(earlier: Section | None, later: Section | None) -> Iterator[Changed]:
    one = earlier or later
    assert one is not None
    for key in dict.fromkeys([*_keys(earlier), *_keys(later)]):
        before, now = _rows(earlier, key), _rows(later, key)
        yield from _paired(one.heading, before, now)


def _keys(section: Section | None) -> list[str]:
    return [_key(block) for block in section.blocks if _key(block)] if section else []


def _key(block: Block) -> str:
    """Sentences, drawings and photos follow from tables or stand beside them: not compared."""
    return block.key if isinstance(block, Facts | Table) else ""


def _rows(section: Section | None, key: str) -> list[Row]:
    for block in section.blocks if section else ():
        if isinstance(block, Table) and block.key == key:
            return [tuple(cell.words for cell in row) for row in block.rows]
        if isinstance(block, Facts) and block.key == key:
            return [(name, figure.words) for name, figure in block.rows]
    return []


def _paired(heading: str, before: Sequence[Row], now: Sequence[Row]) -> Iterator[Changed]:
    """Lines that begin alike are one line that changed; the others came or went."""
    gone, came = _minus(before, now), _minus(now, before)
    for row in gone:
        other = next((each for each in came if each[0] == row[0]), None)
        if other is not None:
            came.remove(other)
        yield Changed(heading, row[0], _said(row), _said(other) if other else "")
    yield from (Changed(heading, row[0], "", _said(row)) for row in came)


def _minus(rows: Sequence[Row], others: Sequence[Row]) -> list[Row]:
    left = Counter(others)
    found = []
    for row in rows:
        if left[row]:
            left[row] -= 1
        else:
            found.append(row)
    return found


def _said(row: Row) -> str:
    """The line without what it begins with, which names it."""
    return "; ".join(word for word in row[1:] if word) or row[0]
