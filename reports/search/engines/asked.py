"""What a user types into the search box: words, perhaps a station's number, perhaps mistyped."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

LONGEST = 100
LONG_WORD = 3
_NUMBERED = re.compile(r"(?P<before>.*\S)\s*[:\s]\s*(?P<number>\d{1,5})")
_TOKEN = re.compile(r"[^\W_]+")
MOST_WORDS_IN_A_NAME = 4


@dataclass(frozen=True, slots=True)
class Numbered:
    """One way to read "alder court a 7": which words name the place, and which the controller."""

    place: tuple[str, ...]
    controller: str
    number: int


@dataclass(frozen=True, slots=True)
class Asked:
    """The words, folded, in order."""

    words: tuple[str, ...]

    @classmethod
    def read(cls, text: str) -> "Asked":
        """Return the parsed query, cut to a sensible length."""
        return cls(tuple(text[:LONGEST].casefold().split()))

    @property
    def text(self) -> str:
        """All of it, single-spaced."""
        return " ".join(self.words)

    def numbered(self) -> list[Numbered]:
        """Return the ways in which it can mean a station's controller and number."""
        found = _NUMBERED.fullmatch(self.text)
        if not found:
            return []
        before = found["before"].rstrip(":").split()
        most = min(len(before), MOST_WORDS_IN_A_NAME)
        return [
            Numbered(tuple(before[:-count]), " ".join(before[-count:]), int(found["number"]))
            for count in range(1, most + 1)
        ]


def tokens(text: str) -> list[str]:
    """Return the words of a name, folded, without punctuation."""
    return _TOKEN.findall(text.casefold())


def allowed_errors(word: str) -> int:
    """Return how many letters of a word may be wrong: none in a short one, at most two."""
    if len(word) < LONG_WORD or not word.isalpha():
        return 0
    return 1 if len(word) < 5 else 2


def close_tokens(word: str, known: Iterable[str]) -> set[str]:
    """Return the known words that the word can mean, as typed or with a letter or two wrong.

    What is begun counts as typed: "ald" means "alder". Those with fewer letters wrong win.
    """
    known = set(known)
    if typed := {each for each in known if word in each}:
        return typed
    most = allowed_errors(word)
    found: dict[int, set[str]] = {}
    for each in known:
        if (wrong := errors(word, each, most=most)) <= most:
            found.setdefault(wrong, set()).add(each)
    return found[min(found)] if found else set()


def errors(typed: str, meant: str, *, most: int) -> int:
    """Return how many letters are wrong, missing, too many or swapped; above `most`, just more.

    The end of a longer word need not have been typed yet.
    """
    if len(typed) - len(meant) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(meant) + 1))
    for i, letter in enumerate(typed, 1):
        before, above, row = row, before, [i]
        for j, other in enumerate(meant, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != other))
            if i > 1 and j > 1 and letter == meant[j - 2] and typed[i - 2] == other:
                cost = min(cost, above[j - 2] + 1)
            row.append(cost)
        if min(row) > most:
            return most + 1
    return min(row[max(0, len(typed) - most) :])
