"""What is typed into the search box is understood, with a letter or two wrong."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.search.engines.asked import (
    LONGEST,
    Asked,
    Numbered,
    allowed_errors,
    close_tokens,
    errors,
    tokens,
)

WORDS = st.text("abcdefg", min_size=1, max_size=8)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("A:7", [Numbered((), "a", 7)]),
        ("a 7", [Numbered((), "a", 7)]),
        ("Alder A:7", [Numbered(("alder",), "a", 7), Numbered((), "alder a", 7)]),
        ("A: 7", [Numbered((), "a", 7)]),
        ("lawn", []),
        ("7", []),
    ],
)
def test_a_number_after_words_can_be_a_stations(typed: str, expected: list[Numbered]) -> None:
    assert Asked.read(typed).numbered() == expected


def test_every_way_to_read_the_words_before_a_number_is_tried() -> None:
    ways = Asked.read("alder court a 7").numbered()
    assert [(each.place, each.controller) for each in ways] == [
        (("alder", "court"), "a"),
        (("alder",), "court a"),
        ((), "alder court a"),
    ]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("aldr", "alder"), ("cort", "court"), ("lwan", "lawn"), ("herosnedge", "heronsedge"),
     ("hernosedg", "heronsedge"), ("aldr", "aldermaston")],
)  # fmt: skip
def test_a_letter_or_two_may_be_wrong(typed: str, meant: str) -> None:
    assert close_tokens(typed, [meant, "windlespur"]) == {meant}


@pytest.mark.parametrize(("typed", "known"), [("a1", "a2"), ("s11", "s12"), ("ab", "ac")])
def test_numbers_and_very_short_words_are_taken_as_typed(typed: str, known: str) -> None:
    assert close_tokens(typed, [known]) == set()


def test_what_is_typed_right_wins_over_what_is_near() -> None:
    assert close_tokens("lawn", ["lawn", "lawns", "dawn"]) == {"lawn", "lawns"}


@given(WORDS)
def test_a_word_is_never_wrong_about_itself(word: str) -> None:
    assert errors(word, word, most=2) == 0


@given(WORDS, WORDS)
def test_a_beginning_has_no_errors(word: str, rest: str) -> None:
    assert errors(word, word + rest, most=2) == 0


@given(st.text("abcdefg", min_size=5, max_size=9), st.data())
def test_one_letter_changed_is_at_most_one_error(word: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(word) - 1))
    typed = word[:at] + "z" + word[at + 1 :]
    assert errors(typed, word, most=2) <= 1 <= allowed_errors(typed)


@given(st.text(max_size=400))
def test_any_text_can_be_asked(text: str) -> None:
    asked = Asked.read(text)
    assert len(asked.text) <= LONGEST * 3
    asked.numbered()
    assert all(token == token.casefold() for token in tokens(text))
