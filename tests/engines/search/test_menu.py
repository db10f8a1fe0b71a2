"""Which title of the menu a user means."""

import pytest

from reports.search.engines.menu import (
    BY_NEARNESS,
    BY_START,
    BY_TITLE,
    BY_WORDS,
    fit,
    folded,
    nearly_fits,
    of_the_menu,
)

FIT = "Fit a stopgap"
WORDS = "battery timer by hand"


@pytest.mark.parametrize(
    ("asked", "how"),
    [
        ("fit", BY_START),
        ("fit a sto", BY_START),
        ("stopgap", BY_TITLE),
        ("stop fit", BY_TITLE),
        ("timer", BY_WORDS),
        ("battery stopgap", BY_WORDS),
        ("timer lawn", None),
        ("imer", None),
    ],
)
def test_the_title_weighs_more_than_the_words(asked: str, how: int | None) -> None:
    assert fit(asked.split(), FIT, WORDS) == how


def test_nothing_asked_fits_everything() -> None:
    assert fit([], FIT, WORDS) == BY_TITLE


def test_a_letter_wrong_is_near_but_does_not_fit() -> None:
    assert fit(["stopgpa"], FIT, WORDS) is None
    assert nearly_fits(["stopgpa"], FIT, WORDS) == BY_NEARNESS
    assert nearly_fits(["stopgpa", "lawn"], FIT, WORDS) is None
    assert nearly_fits([], FIT, WORDS) is None


def test_accents_do_not_matter() -> None:
    assert folded("Cañería ÉXITO") == "caneria exito"
    assert fit(["caneria"], "Una cañería", "") == BY_TITLE


@pytest.mark.parametrize(
    ("asked", "left"),
    [
        ("fit stopgap alder", ("alder",)),
        ("alder court fit", ("alder", "court")),
        ("fit stopgap", ()),
    ],
)
def test_what_the_verb_leaves_over_names_the_place(asked: str, left: tuple[str, ...]) -> None:
    assert of_the_menu(asked.split(), FIT, WORDS) == (left, True)


def test_words_of_a_place_alone_ask_for_no_verb() -> None:
    assert of_the_menu(["alder"], FIT, WORDS) == (("alder",), False)
