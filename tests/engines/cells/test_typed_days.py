"""Days, months and years as people type them."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.cells.engines.days import Unsettled, adds_nothing, order_shown, read_window, window_text

TODAY = date(2025, 6, 15)
DAY = (date(2025, 3, 4), date(2025, 3, 4))


def window(text: str, order: str = "") -> tuple[date, date]:
    return read_window(text, order=order, today=TODAY)


@pytest.mark.parametrize(
    "text",
    [
        "2025-03-04",
        "2025/3/4",
        "20250304",
        "2025-03-04 07:30",
        "2025-03-04T00:00:00",
        "4 Mar 2025",
        "Mar 4, 2025",
        "4-mar-25",
        "March 4th 2025",
        "4 de marzo de 2025",
    ],
)
def test_a_day_reads_whatever_its_dress(text: str) -> None:
    assert window(text) == DAY


def test_a_day_written_two_ways_needs_the_order() -> None:
    with pytest.raises(Unsettled):
        window("03/04/2025")
    assert window("03/04/2025", "mdy") == DAY
    assert window("04.03.25", "dmy") == DAY


def test_the_same_day_and_month_need_no_order() -> None:
    assert window("05/05/2025") == (date(2025, 5, 5), date(2025, 5, 5))


@pytest.mark.parametrize(
    ("text", "shown"),
    [("13/04/2025", "dmy"), ("04/13/2025", "mdy"), ("03/04/2025", "?"), ("2025-03-04", "")],
)
def test_some_days_show_the_order_themselves(text: str, shown: str) -> None:
    assert order_shown(text) == shown


@pytest.mark.parametrize(
    "months",
    [
        "January February March April May June July August September October November December",
        "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
    ],
)
def test_every_month_by_its_name_also_after_a_word_such_as_in(months: str) -> None:
    for number, name in enumerate(months.split(), start=1):
        for text in (f"{name} 2022", f"{name[:3]} 2022", f"en {name} de 2022", f"in {name} 2022"):
            first, _last = window(text)
            assert (first.year, first.month, first.day) == (2022, number, 1), text


@pytest.mark.parametrize("text", ["2021", "ca. 2021", "since 2021", "~2021", "in 2021", "c.2021"])
def test_a_year_alone_is_a_window(text: str) -> None:
    assert window(text) == (date(2021, 1, 1), date(2021, 12, 31))


@pytest.mark.parametrize("text", ["2022-06", "06/2022", "June 2022", "jun 22", "junio de 2022"])
def test_a_month_alone_is_a_window(text: str) -> None:
    assert window(text) == (date(2022, 6, 1), date(2022, 6, 30))


@pytest.mark.parametrize("text", ["", "soon", "2025-13-01", "31/02/2025", "45231", "12", "May May"])
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        window(text, "dmy")


@given(st.dates(min_value=date(1990, 1, 1), max_value=date(2075, 12, 31)))
def test_a_day_survives_every_way_of_writing(day: date) -> None:
    only = (day, day)
    assert window(day.isoformat()) == only
    assert window(f"{day:%d/%m/%Y}", "dmy") == only
    assert window(f"{day:%m-%d-%Y}", "mdy") == only
    assert window(f"{day.day} {day:%b} {day.year}") == only


def test_a_year_tells_no_more_than_a_day_in_it() -> None:
    year = (date(2025, 1, 1), date(2025, 12, 31))
    assert adds_nothing(DAY, year)
    assert adds_nothing(DAY, DAY)
    assert not adds_nothing(year, DAY)
    assert not adds_nothing((None, None), year)


@pytest.mark.parametrize(
    ("window", "text"),
    [
        ((date(2025, 1, 1), date(2025, 12, 31)), "2025"),
        ((date(2025, 1, 2), date(2025, 12, 31)), "2025-01-02 to 2025-12-31"),
        ((date(2025, 1, 1), date(2025, 12, 30)), "2025-01-01 to 2025-12-30"),
        ((date(2024, 2, 1), date(2024, 2, 29)), "2024-02"),
        ((date(2024, 2, 1), date(2024, 2, 28)), "2024-02-01 to 2024-02-28"),
        ((date(2025, 12, 1), date(2025, 12, 31)), "2025-12"),
        ((date(2025, 12, 1), date(2026, 1, 31)), "2025-12-01 to 2026-01-31"),
        ((date(2025, 3, 4), date(2025, 3, 4)), "2025-03-04"),
    ],
)
def test_a_window_is_written_as_short_as_it_can_be_read(
    window: tuple[date, date], text: str
) -> None:
    assert window_text(window) == text
