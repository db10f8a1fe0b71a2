"""What a document is made of. All of it can be written as JSON and read back unchanged."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

Tone = Literal["plain", "soft", "caution"]
Number = int | float


@dataclass(frozen=True)
class Figure:
    """What a cell says: its words, and the number that these words show, where it is one.

    `number` is rounded as the words are, in the unit that the words or the heading name; None
    where it is no number or is not known.
    """

    words: str
    number: Number | None = None


@dataclass(frozen=True)
class Paragraph:
    """A few sentences."""

    words: str
    tone: Tone = "plain"


@dataclass(frozen=True)
class Facts:
    """Single facts, each with what it is called. `key` names the block within its section."""

    key: str
    rows: Sequence[tuple[str, Figure]]


@dataclass(frozen=True)
class Table:
    """A table. `numeric` are the places of columns of numbers, which stand to the right.

    Args:
        key: names the block within its section, whatever the language.
        empty: what is said where there is no row.
    """

    key: str
    caption: str
    headings: Sequence[str]
    rows: Sequence[Sequence[Figure]]
    numeric: Sequence[int] = ()
    empty: str = ""

    def __post_init__(self) -> None:
        """Refuse rows that do not fit the headings."""
        for row in self.rows:
            if len(row) != len(self.headings):
                raise ValueError(f"Expected {len(self.headings)} cells in a row, got {len(row)}")


@dataclass(frozen=True)
class Drawing:
    """A chart or a plan as SVG; `alt` says it in words, its table stands beside it."""

    svg: str
    alt: str
    caption: str = ""


@dataclass(frozen=True)
class Photo:
    """A photo by its reference; who renders the document brings its bytes (JPEG)."""

    ref: str
    alt: str
    caption: str


@dataclass(frozen=True)
class Photos:
    """Photos side by side."""

    photos: Sequence[Photo]


Block = Paragraph | Facts | Table | Drawing | Photos
_BLOCKS: dict[str, type] = {
    kind.__name__.lower(): kind for kind in (Paragraph, Facts, Table, Drawing, Photos)
}


@dataclass(frozen=True)
class Section:
    """A part of a document under a heading of its own.

    Args:
        key: names the section, whatever the language.
        level: 1, or 2 below the section before it.
        is_now: it says how things stand when it is made, so that it differs on each later day.
    """

    key: str
    heading: str
    blocks: Sequence[Block]
    level: int = 1
    is_now: bool = False


@dataclass(frozen=True)
class Document:
    """A document. `words` are the few that the renderers add, in its language."""

    title: str
    subtitle: str
    language: str
    paper: Literal["letter", "a4"]
    facts: Sequence[tuple[str, str]]
    sections: Sequence[Section]
    words: Mapping[str, str] = field(default_factory=dict)

    def photos(self) -> Iterator[Photo]:
        """Yield all photos, in order."""
        for section in self.sections:
            for block in section.blocks:
                if isinstance(block, Photos):
                    yield from block.photos


def as_json(document: Document) -> dict[str, Any]:
    """Return a document as what JSON can hold."""
    return {
        "title": document.title,
        "subtitle": document.subtitle,
        "language": document.language,
        "paper": document.paper,
        "facts": [list(fact) for fact in document.facts],
        "words": dict(document.words),
        "sections": [
            {
                "key": section.key,
                "heading": section.heading,
                "level": section.level,
                "is_now": section.is_now,
                "blocks": [_block_json(block) for block in section.blocks],
            }
            for section in document.sections
        ],
    }


def from_json(kept: Mapping[str, Any]) -> Document:
    """Return the document that was written as JSON."""
    sections = [
        Section(
            each["key"],
            each["heading"],
            [_block_of(block) for block in each["blocks"]],
            each["level"],
            each["is_now"],
        )
        for each in kept["sections"]
    ]
    facts = [(name, words) for name, words in kept["facts"]]
    return Document(
        kept["title"],
        kept["subtitle"],
        kept["language"],
        kept["paper"],
        facts,
        sections,
        kept["words"],
    )


def _block_json(block: Block) -> dict[str, Any]:
    kind = {"kind": type(block).__name__.lower()}
    match block:
        case Paragraph():
            return {**kind, "words": block.words, "tone": block.tone}
        case Facts():
            rows = [[name, figure.words, figure.number] for name, figure in block.rows]
            return {**kind, "key": block.key, "rows": rows}
        case Table():
            return {
                **kind,
                "key": block.key,
                "caption": block.caption,
                "headings": list(block.headings),
                "rows": [[[cell.words, cell.number] for cell in row] for row in block.rows],
                "numeric": list(block.numeric),
                "empty": block.empty,
            }
        case Drawing():
            return {**kind, "svg": block.svg, "alt": block.alt, "caption": block.caption}
        case Photos():
            photos = [[each.ref, each.alt, each.caption] for each in block.photos]
            return {**kind, "photos": photos}


def _block_of(kept: Mapping[str, Any]) -> Block:
    given = {name: value for name, value in kept.items() if name != "kind"}
    match kept["kind"]:
        case "facts":
            rows = [(name, Figure(words, number)) for name, words, number in given["rows"]]
            return Facts(given["key"], rows)
        case "table":
            cells = [[Figure(words, number) for words, number in row] for row in given["rows"]]
            return Table(**{**given, "rows": cells})
        case "photos":
            return Photos([Photo(*each) for each in given["photos"]])
        case name:
            block: Block = _BLOCKS[name](**given)
            return block
