"""Stations as people say them, and the key that continues the highest."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.cases.engines.naming import NotUnderstood, StationName, key_after, named_stations


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("B:7", ["B:7"]),
        ("B:7, 9", ["B:7", "B:9"]),
        ("B:7 B:9", ["B:7", "B:9"]),
        ("B:7, 9 and 11-13", ["B:7", "B:9", "B:11", "B:12", "B:13"]),
        ("B:7; C1:2\nC1:3", ["B:7", "C1:2", "C1:3"]),
        ("North gate:3", ["North gate:3"]),
        ("B:7 front lawn", ["B:7"]),
        ("front lawn", ["front lawn"]),
        ("roses and lavender", ["roses and lavender"]),
        ("7", ["7"]),
        ("B : 7 – 8", ["B:7", "B:8"]),
        ("B:7, B:7", ["B:7"]),
        ("  ,  ", []),
    ],
)
def test_stations_are_understood_as_people_say_them(said: str, meant: list[str]) -> None:
    assert [str(name) for name in named_stations(said)] == meant


@pytest.mark.parametrize("said", ["B:9-7", "B:1-5000"])
def test_a_range_that_runs_backwards_or_too_far_is_not_understood(said: str) -> None:
    with pytest.raises(NotUnderstood, match="B:"):
        named_stations(said)


@given(st.text(max_size=60))
def test_no_text_breaks_the_reading_of_names(text: str) -> None:
    try:
        names = named_stations(text)
    except NotUnderstood:
        return
    assert len(names) == len(set(names))


@given(st.lists(st.tuples(st.sampled_from("ABC"), st.integers(1, 99)), min_size=1, max_size=8))
def test_what_is_written_out_is_read_back(pairs: list[tuple[str, int]]) -> None:
    names = [StationName(*pair) for pair in dict.fromkeys(pairs)]
    assert named_stations(", ".join(map(str, names))) == names


@pytest.mark.parametrize(
    ("keys", "following"),
    [
        ([], "F-0001"),
        (["F-0001", "F-0366", "F-0002"], "F-0367"),
        (["F-9999"], "F-10000"),
        (["T9", "T10"], "T11"),
        (["no number"], "F-0001"),
        (["2024-007"], "2024-008"),
    ],
)
def test_a_key_continues_the_highest(keys: list[str], following: str) -> None:
    assert key_after(keys) == following
