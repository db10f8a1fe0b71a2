"""DEVELOPERS.md is short and true, and what is written from the code is current."""

import re
import tomllib

import pytest

from tests.architecture import phone_data
from tests.architecture.guide import PAGES, developers_guide, page
from tests.architecture.source import CHECKOUT

GUIDE = (CHECKOUT / "DEVELOPERS.md").read_text()
# A path in backticks below one of our folders; `*` stands for some of a name.
PATH = re.compile(r"`((?:sites|faults|reports|tests|fixtures|\.ci)/[\w./*-]+)`")
MOST_BYTES = 15_000


@pytest.mark.parametrize("name", PAGES)
def test_a_printed_table_is_current(name: str) -> None:
    assert (CHECKOUT / name).read_text() == page(name)


def test_the_data_of_the_phone_is_current() -> None:
    for path, text in phone_data.scripts().items():
        assert (CHECKOUT / path).read_text() == text


@pytest.mark.parametrize("name", PAGES)
def test_a_printed_table_is_named(name: str) -> None:
    assert f"`{name}`" in GUIDE


def test_the_house_is_drawn_from_the_contracts() -> None:
    assert "faults/\n  casework" in GUIDE
    assert developers_guide() == GUIDE


def test_can_be_read_in_a_quarter_of_an_hour() -> None:
    assert len(GUIDE.encode()) <= MOST_BYTES


def test_names_only_what_is_there() -> None:
    named = PATH.findall(GUIDE)
    assert len(named) > 50
    missing = [path for path in named if not any(CHECKOUT.glob(path))]
    assert missing == []


def test_each_runtime_dependency_says_why_it_is_there() -> None:
    text = (CHECKOUT / "pyproject.toml").read_text()
    names = tomllib.loads(text)["project"]["dependencies"]
    assert names
    without = [name for name in names if not re.search(rf'"{re.escape(name)}",  # \w', text)]
    assert without == []
