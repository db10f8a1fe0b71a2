"""Names as people say them: "B:7, 9 and 11-13" for stations, "F-0367" for the next fault."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

MOST_IN_A_RANGE = 100
FIRST_KEY = "F-0001"
_NAMED = re.compile(r"(?:(?P<controller>[^:]+?)\s*:\s*)?(?P<first>\d+)(?:\s*[-–]\s*(?P<last>\d+))?")
_NAMED_WITH_WORDS = re.compile(r"(?P<named>[^:]+?\s*:\s*\d+)\s+[^\W\d][^:]*")
_KEY = re.compile(r"(?P<letters>.*?)(?P<number>\d+)")


class NotUnderstood(Exception):
    """A range runs backwards or is too long; `piece` is that range."""

    def __init__(self, piece: str) -> None:
        super().__init__(piece)
        self.piece = piece


@dataclass(frozen=True, slots=True)
class StationName:
    """A controller's name, empty where none was said, and a station's number."""

    controller: str
    number: int

    def __str__(self) -> str:
        return f"{self.controller}:{self.number}" if self.controller else str(self.number)


def named_stations(text: str) -> list[StationName | str]:
    """Return the stations that a text names, in order, each once.

    "B:7, 9" means B:7 and B:9: a number without a controller goes on with the one before it.
    What is no number comes back as words: the name by which people call a station.

    Raises:
        NotUnderstood: a range runs backwards or over 100 stations.
    """
    found: dict[StationName | str, None] = {}
    controller = ""
    for piece in _pieces(text):
        match = _NAMED.fullmatch(piece)
        if match is None:
            found[piece] = None
            continue
        controller = match["controller"] or controller
        found |= dict.fromkeys(StationName(controller, number) for number in _range(match))
    return list(found)


def _pieces(text: str) -> list[str]:
    pieces = [piece.strip() for piece in re.split(r"[,;\n]|\s(?:and|y|&)\s(?=\S+:|\d)", text)]
    return [part for piece in pieces if piece for part in _split_where_commas_are_missing(piece)]


def _split_where_commas_are_missing(piece: str) -> list[str]:
    """Split "B:7 B:9", but not "North gate:3", where the space belongs to the name.

    "B:7 front lawn" is how a list offers a station: its number says all.
    """
    parts = piece.split()
    if all(_NAMED.fullmatch(part) for part in parts):
        return parts
    offered = _NAMED_WITH_WORDS.fullmatch(piece)
    return [offered["named"]] if offered else [piece]


def _range(match: re.Match[str]) -> range:
    first = int(match["first"])
    last = int(match["last"] or first)
    if not first <= last < first + MOST_IN_A_RANGE:
        raise NotUnderstood(match[0])
    return range(first, last + 1)


def key_after(keys: Iterable[str]) -> str:
    """Return the key that continues the highest of these, in its letters and its width."""
    highest: tuple[int, int, str] | None = None
    for key in keys:
        match = _KEY.fullmatch(key)
        if match:
            found = (int(match["number"]), len(match["number"]), match["letters"])
            highest = max(highest or found, found)
    if highest is None:
        return FIRST_KEY
    number, width, letters = highest
    return f"{letters}{number + 1:0{width}d}"
