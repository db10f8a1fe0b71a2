"""Wire sizes as people write them on a cable, in a register, on a drawing."""

import pytest

from sites.wires.engines.copper import WireSize
from sites.wires.engines.sizes import size_from_words


@pytest.mark.parametrize(
    ("words", "awg"),
    [
        ("14", 14),
        ("14 AWG", 14),
        ("AWG 14", 14),
        ("AWG14", 14),
        ("#14", 14),
        ("# 14", 14),
        ("No. 14", 14),
        ("14 ga", 14),
        ("14/1", 14),
        ("14-1", 14),
        ("14 AWG/1", 14),
        ("18/5", 18),
        ("18-13", 18),
        ("18/7 solid", 18),
        ("14 AWG solid", 14),
        ("14 AWG UF", 14),
        ("14/1 UF, direct burial", 14),
        ("12 gauge solid copper", 12),
    ],
)
def test_a_size_is_read_with_what_stands_beside_it(words: str, awg: int) -> None:
    assert size_from_words(words) == WireSize(awg=awg)


@pytest.mark.parametrize(
    "words",
    [
        "",
        "solid",
        "AWG",
        "18/14",
        "14-12",
        "18/0",
        "18/",
        "14 red",
        "14 stranded",
        "22",
        "9",
        "140",
    ],
)
def test_what_names_two_sizes_or_none_is_not_read(words: str) -> None:
    assert size_from_words(words) is None
