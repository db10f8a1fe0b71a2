"""How well what a user types fits the title of a page or of something to do."""

import unicodedata
from collections.abc import Sequence

from reports.search.engines.asked import close_tokens, tokens

BY_START, BY_TITLE, BY_WORDS, BY_NEARNESS = range(4)


def folded(text: str) -> str:
    """Return the text without accents and in small letters: "Cañería" is found by "caneria"."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(each for each in apart if not unicodedata.combining(each))


def fit(asked: Sequence[str], title: str, words: str) -> int | None:
    """Return how the asked words fit, the lower the better; None where one of them does not.

    Each has to begin a word of the title, else of the title and the further words.
    """
    if not asked:
        return BY_TITLE
    of_title, all_words = tokens(folded(title)), tokens(folded(f"{title} {words}"))
    if folded(title).startswith(" ".join(asked)):
        return BY_START
    for known, how in ((of_title, BY_TITLE), (all_words, BY_WORDS)):
        if all(_begins_one(each, known) for each in asked):
            return how
    return None


def nearly_fits(asked: Sequence[str], title: str, words: str) -> int | None:
    """Return BY_NEARNESS where each asked word is one of these with a letter or two wrong."""
    known = tokens(folded(f"{title} {words}"))
    near = asked and all(close_tokens(each, known) for each in asked)
    return BY_NEARNESS if near else None


def of_the_menu(asked: Sequence[str], title: str, words: str) -> tuple[tuple[str, ...], bool]:
    """Return the asked words that fit none of these words, and whether any did.

    "fit stopgap alder" asks for the verb "Fit a stopgap", and leaves "alder": where.
    """
    known = tokens(folded(f"{title} {words}"))
    rest = tuple(each for each in asked if not _begins_one(each, known))
    return rest, len(rest) < len(asked)


def _begins_one(word: str, known: Sequence[str]) -> bool:
    return any(each.startswith(word) for each in known)
