"""A page's elements, strictly: a tag that is never closed, or closed twice, fails the test."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"br", "hr", "img", "input", "link", "meta", "source", "wbr"}
INLINE = {"a", "abbr", "b", "em", "span", "strong"}
NOT_READ = {"script", "style", "svg"}


@dataclass
class Element:
    """One element and what it holds, in order."""

    name: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list["Element | str"] = field(default_factory=list)

    def inside(self) -> Iterator["Element"]:
        """Yield all elements inside, in order."""
        for child in self.children:
            if isinstance(child, Element):
                yield child
                yield from child.inside()

    def find(self, name: str, /, **wanted: str) -> list["Element"]:
        """Return the elements inside of that name, and with these attributes."""
        return [
            each
            for each in self.inside()
            if each.name == name
            and all(each.attributes.get(key) == value for key, value in wanted.items())
        ]

    @property
    def classes(self) -> list[str]:
        """Its style classes."""
        return self.attributes.get("class", "").split()

    @property
    def words(self) -> str:
        """The words inside, single-spaced, without scripts and drawings."""
        return " ".join("".join(self._pieces()).split())

    @property
    def rows(self) -> list[list[str]]:
        """The words in each cell of each body row inside; boxes to tick are no cells."""
        return [
            [
                cell.words
                for cell in row.children
                if isinstance(cell, Element) and "tick" not in cell.classes
            ]
            for body in self.find("tbody")
            for row in body.find("tr")
        ]

    def _pieces(self) -> Iterator[str]:
        for child in self.children:
            if isinstance(child, str):
                yield child
            elif child.name not in NOT_READ:
                # Inline words hang together; a block stands apart from its neighbours.
                gap = "" if child.name in INLINE else " "
                yield from (gap, *child._pieces(), gap)


class _Builder(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open = [Element("")]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.open[-1].children.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        element = self.open.pop()
        assert element.name == tag, f"<{element.name}> {element.words[:80]!r} ended by </{tag}>"

    def handle_data(self, data: str) -> None:
        self.open[-1].children.append(data)


def elements_of(html: str) -> Element:
    """Return what was sent as one element without a name that holds all others."""
    builder = _Builder()
    builder.feed(html)
    builder.close()
    left_open = [element.name for element in builder.open[1:]]
    assert left_open == [], f"never closed: {left_open}"
    return builder.open[0]
