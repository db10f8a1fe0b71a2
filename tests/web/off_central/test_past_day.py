"""A past day: its page, its files, and the days that cannot be shown."""

import io
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from openpyxl import load_workbook

from sites.models import User
from tests import make
from tests.cast import THEIRS, Cast, Corner
from tests.web.fern_row import FernRow
from tests.web.off_central.past_day import at, file_of, listed, off_over
from tests.web.pages import fragment, open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


DAY = timedelta(days=1)


def test_the_day_says_how_many_why_and_since_when(fern: FernRow, manager: User) -> None:
    page = open_page(manager, at("2025-02-28"))
    assert page.heading == "2 stations were off central control on 2025-02-28"
    assert page.rows("why") == [["wire", "2", "2021-12-31"], ["All", "2", "2021-12-31"]]
    assert [row[:7] for row in page.rows("list-title")] == [
        ["A:7", "lawn A7", "Fern Row", "wire", "battery timer", "2021-12-31 or before", "≥ 1,155"],
        ["A:1", "lawn A1", "Fern Row", "wire", "battery timer", "2025-01-01", "58"],
    ]
    assert "The longest: A:7 lawn A7, Fern Row, at least 1,155 days." in page.words
    assert page.rows("where") == [["Fern Row", "2", "2021-12-31"]]


def test_what_is_not_kept_for_a_past_day_is_left_out_and_the_page_says_so(
    fern: FernRow, manager: User
) -> None:
    page = open_page(manager, at("2025-02-28"))
    headings = [
        each.words.rstrip(" ↑↓") for each in page.panels["list-title"].find("th", scope="col")
    ]
    assert headings[-3:] == ["Days", "Excess water", "It costs"]
    labels = [each.words for each in page.panels["list-title"].find("label")]
    assert labels[:3] == ["Text", "Reason", "What stands in"]
    assert "Whose move" not in labels
    assert "are not shown for a past day" in page.words
    assert "F-1" not in page.panel("list-title")


def test_today_asked_for_is_today(fern: FernRow, manager: User) -> None:
    plain, asked = open_page(manager, "/"), open_page(manager, at(make.TODAY))
    assert asked.heading == plain.heading == "5 of 7 stations are off central control"
    assert asked.rows("list-title") == plain.rows("list-title")


def test_yesterday_is_the_last_past_day(fern: FernRow, manager: User) -> None:
    page = open_page(manager, at(make.TODAY - DAY))
    assert page.heading == "5 stations were off central control on 2025-06-14"


FUTURE = ["2025-06-16", "9999-12-31"]


GARBAGE = ["99999-01-01", "2025-02-30", "yesterday", "20250301", "0", "'%00"]


@pytest.mark.parametrize("url", ["/", "/stopgaps/", "/properties/{ref}/"])
@pytest.mark.parametrize(
    ("typed", "words"),
    [
        *((each, f"{each} is still to come. This is today.") for each in FUTURE),
        *((each, "is no day. Write it as 2025-03-31. This is today.") for each in GARBAGE),
        *((each, "The records here begin on 2021-12-31") for each in ["2021-12-30", "0001-01-01"]),
    ],
)
def test_a_day_that_cannot_be_shown_is_refused_in_words_over_today(
    fern: FernRow, manager: User, url: str, typed: str, words: str
) -> None:
    where = url.format(ref=fern.property.ref)
    page = open_page(manager, f"{where}?day={typed}")
    assert page.status == 200
    assert words in " ".join(page.errors)
    assert page.heading == open_page(manager, where).heading
    # No file of today under the name of another day.
    assert open_page(manager, f"{where}?day={typed}&export=csv").status == 200


def test_the_first_day_on_record_can_be_asked(fern: FernRow, manager: User) -> None:
    assert listed(open_page(manager, at("2021-12-31"))) == ["A:7"]


@pytest.mark.parametrize(("day", "is_known"), [("2019-12-31", False), ("2020-01-01", True)])
def test_a_property_that_says_since_when_it_keeps_records_knows_a_day_without_any(
    fern: FernRow, manager: User, day: str, is_known: bool
) -> None:
    fern.property.records_since = date(2020, 1, 1)
    fern.property.save()
    page = open_page(manager, f"/properties/{fern.property.ref}/?day={day}")
    assert (f"No station was off central control on {day}." in page.words) is is_known
    assert ("The records here begin on 2020-01-01" in " ".join(page.errors)) is not is_known


def test_a_day_on_which_nothing_stood_says_so(fern: FernRow, manager: User) -> None:
    off_over((date(2020, 1, 1), date(2020, 1, 9)))
    page = open_page(manager, "/stopgaps/?day=2020-02-01")
    assert "Nothing is on record for this day." in page.words
    assert (
        "Nothing matches this filter." in open_page(manager, "/stopgaps/?day=2025-03-02&q=zz").words
    )


def test_without_any_record_a_past_day_is_refused_in_words(manager: User) -> None:
    make.station()
    assert "Nothing is on record yet" in " ".join(open_page(manager, at("2025-01-01")).errors)


def test_filters_order_and_files_stay_on_the_day(fern: FernRow, manager: User) -> None:
    page = open_page(manager, at("2025-05-31", reason="wire", sort="-days"))
    assert listed(page) == ["A:7", "A:1"]
    assert page.value("day") == "2025-05-31"
    hrefs = [each.attributes["href"] for each in page.panels["list-title"].find("a")]
    own = [href for href in hrefs if href.startswith("?")]
    assert len(own) > 5
    assert all("day=2025-05-31" in href and "reason=wire" in href for href in own)
    assert page.links["Back to today"] == "/?reason=wire&sort=-days"
    reasons = [each.attributes["href"] for each in page.panels["why"].find("a")]
    assert all("day=2025-05-31" in href for href in reasons)


def test_what_htmx_fetches_is_of_the_day_too(fern: FernRow, manager: User) -> None:
    rows = fragment(manager, at("2025-02-28", q="A1")).rows()
    assert [row[0] for row in rows] == ["A:1"]
    nothing = fragment(manager, at("2025-02-28", q="A2"))
    assert nothing.links["Show all"] == "/?day=2025-02-28"


def test_pages_of_the_list_stay_on_the_day(manager: User) -> None:
    for _ in range(30):
        off_over((date(2025, 3, 1), date(2025, 4, 1)))
    page = open_page(manager, at("2025-03-10"))
    assert len(listed(page)) == 25
    assert "day=2025-03-10" in page.links["2"]
    assert len(listed(open_page(manager, f"/{page.links['2']}"))) == 5


def test_a_day_is_kept_with_a_view(fern: FernRow, manager: User) -> None:
    signed_in(manager).post(
        "/views/keep/", {"name": "Winter", "path": "/", "query": "day=2025-02-28&reason=wire"}
    )
    page = open_page(manager, "/?day=2025-02-28&reason=wire")
    assert page.links["Winter"] == "/?day=2025-02-28&reason=wire"


def test_files_of_a_day_hold_what_is_shown(fern: FernRow, manager: User) -> None:
    written = file_of(manager, at("2025-02-28", export="csv"))
    assert [row[0] for row in written[1:]] == ["A:7", "A:1"]
    assert "Waits on" not in written[0]
    assert "Fault" not in written[0]
    days = written[0].index("Days")
    assert [row[days] for row in written[1:]] == ["1155", "58"]
    answer: Any = signed_in(manager).get(at("2025-02-28", export="xlsx"))
    assert "off-central-on-2025-02-28" in answer.headers["Content-Disposition"]
    book = load_workbook(io.BytesIO(b"".join(answer.streaming_content)))
    assert book.worksheets[0].max_row == 3


@pytest.mark.parametrize("table", ["reasons", "properties", "months"])
def test_the_small_tables_of_a_day_come_as_files(fern: FernRow, manager: User, table: str) -> None:
    url = f"/export/summary/?day=2025-02-28&table={table}&export=csv"
    written = file_of(manager, url)
    shown = open_page(manager, at("2025-02-28"))
    assert url in [each.attributes["href"] for each in shown.tree.find("a")]
    last = {
        "reasons": ["wire", "2", "2021-12-31"],
        "properties": ["Fern Row", "2", "2021-12-31"],
        "months": ["2025-02", "2", "2"],
    }
    # The months hold a column for each reason that there ever was until the day.
    assert [written[-1][0], written[-1][1], written[-1][-1]] == last[table]


def test_the_property_on_a_day(fern: FernRow, manager: User) -> None:
    url = f"/properties/{fern.property.ref}/?day=2025-03-01"
    page = open_page(manager, url)
    assert "3 stations were off central control on 2025-03-01." in page.words
    assert page.rows("why") == [
        ["wire", "2", "2021-12-31"],
        ["valve or solenoid", "1", "2025-03-01"],
    ]
    assert [(row[0], row[5]) for row in page.rows("off")] == [
        ("A:7", "≥ 1,156"),
        ("A:1", "59"),
        ("A:2", "0"),
    ]
    assert [row[0] for row in file_of(manager, f"{url}&export=csv")[1:]] == ["A:7", "A:1", "A:2"]


def test_the_stopgaps_that_stood_on_a_day(fern: FernRow, manager: User) -> None:
    page = open_page(manager, "/stopgaps/?day=2024-05-07")
    assert page.heading == "Stopgaps on 2024-05-07"
    assert page.column(0) == ["A:4", "A:7"]
    assert open_page(manager, "/stopgaps/?day=2024-05-08").column(0) == ["A:7"]
    assert len(file_of(manager, "/stopgaps/?day=2024-05-07&export=csv")) == 3
    assert [each.words for each in page.tree.find("label")][:4] == [
        "As of",
        "Text",
        "Kind",
        "Reason",
    ]


@pytest.mark.parametrize("path", ["/", "/stopgaps/", "/?export=csv", "/stopgaps/?export=csv"])
def test_nobody_sees_another_clients_past(
    path: str, cast: Cast, ours: Corner, theirs: Corner
) -> None:
    day = "day=2025-06-10"
    url = f"{path}{'&' if '?' in path else '?'}{day}"
    for user in (cast.tracer, cast.client_user):
        answer: Any = signed_in(user).get(url)
        body = b"".join(answer) if answer.streaming else answer.content
        assert THEIRS.encode() not in body
    other = signed_in(cast.client_user).get(f"/properties/{theirs.property.ref}/?{day}")
    assert other.status_code == 404


PAGES = ["/?day=2025-03-10", "/stopgaps/?day=2025-03-10", "/properties/{ref}/?day=2025-03-10"]


@pytest.mark.parametrize(("page", "most"), list(zip(PAGES, [26, 12, 25], strict=True)))
def test_a_past_day_asks_as_often_for_thirty_rows_as_for_three(
    manager: User, page: str, most: int
) -> None:
    place = make.place()

    def asked() -> int:
        browser = signed_in(manager)
        with CaptureQueriesContext(connection) as caught:
            answer = browser.get(page.format(ref=place.ref))
        assert answer.status_code == 200
        return len(caught)

    def more(count: int) -> None:
        for _ in range(count):
            clock = make.controller(property=place)
            off_over(
                (date(2025, 1, 1), date(2025, 2, 1)),
                (date(2025, 3, 1), None),
                station=make.station(controller=clock),
            )
            off_over((date(2025, 3, 1), None))

    more(2)
    few = asked()
    more(14)
    assert asked() == few <= most
