"""People, phones and files at once, small: the same as `.ci/long people` with its bars in seconds.

Times on shared cores say nothing here; what is held is that all were answered, and once.
"""

import argparse

import pytest

from tests.bench.bench_people import main, parsed
from tests.bench.people.figures import Figures, route_of, took
from tests.databases import create_from_template


@pytest.mark.parametrize(
    ("count", "p50", "p95"), [(1, 1, 1), (2, 1, 2), (19, 10, 19), (20, 10, 19), (100, 50, 95)]
)
def test_a_percentile_is_the_time_that_so_many_keep(count: int, p50: int, p95: int) -> None:
    """By the nearest rank, as statistics books define it."""
    figures = took(float(each) for each in reversed(range(1, count + 1)))
    assert (figures.count, figures.p50_ms, figures.p95_ms) == (count, p50, p95)
    assert figures.most_ms == count


def test_of_nothing_there_are_no_figures() -> None:
    assert took([]).count == 0


@pytest.mark.parametrize(
    ("path", "route"),
    [
        ("/stations/kp5ngz242c/readings/add/?day=1", "/stations/REF/readings/add/"),
        ("/people/12/", "/people/N/"),
        ("/properties/", "/properties/"),
        ("/controllers/", "/controllers/"),
    ],
)
def test_pages_of_one_kind_are_counted_together(path: str, route: str) -> None:
    assert route_of(path) == route


def test_what_went_wrong_is_counted() -> None:
    figures = Figures()
    figures.page("GET /", 5.0)
    figures.page("GET /x/", 7.0)
    figures.went_wrong("GET /x/: 500")
    figures.went_wrong("GET /x/: 500")
    assert (figures.pages().count, figures.wrong["GET /x/: 500"]) == (2, 2)


@pytest.mark.service
@pytest.mark.usefixtures("redis_url")  # says so where Redis is not installed
def test_all_are_answered_and_what_phones_held_is_there_once(
    postgres_url: str, capfd: pytest.CaptureFixture[str]
) -> None:
    words = "--people 6 --seconds 16 --phones 2 --things 21 --files 5 --register small"
    given: argparse.Namespace = parsed(words.split())
    main(given, create_from_template(postgres_url, "rejoin_people"))
    said = capfd.readouterr().out
    assert "kept: nothing wrong" in said, said
    assert "kept: all once" in said, said
    assert "reading from a phone: 42 of 42 acknowledged" in said, said
    pages = int(said.partition("\npages")[2].split()[0])
    assert pages >= 6, said
