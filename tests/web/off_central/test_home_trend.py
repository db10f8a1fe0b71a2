"""The trend on the first page: the chart, its title, and the numbers behind it."""

from datetime import date

import pytest

from sites.models import SpellPart, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make
from tests.web.fern_row import FernRow
from tests.web.pages import open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def trend(manager: User) -> dict[str, list[str]]:
    """Return the numbers behind the chart by day: wire, valve, link lost, all."""
    return {row[0]: row[1:] for row in open_page(manager, "/").rows("trend")}


def test_the_numbers_behind_the_trend_are_those_of_the_last_day_of_each_month(
    fern: FernRow, manager: User
) -> None:
    numbers = trend(manager)
    assert numbers["2025-06-15"] == ["2", "1", "2", "5"]
    assert numbers["2025-05-31"] == ["2", "1", "0", "3"]
    assert numbers["2025-02-28"] == ["2", "0", "0", "2"]
    assert numbers["2024-12-31"] == ["1", "0", "0", "1"]


def test_a_spell_that_began_and_ended_inside_a_month_is_in_no_month_end(
    fern: FernRow, manager: User
) -> None:
    assert SpellPart.objects.filter(station=fern["A:4"]).exists()
    assert trend(manager)["2024-05-31"] == ["1", "0", "0", "1"]


def test_the_trend_goes_back_24_months_newest_first(fern: FernRow, manager: User) -> None:
    days = list(trend(manager))
    assert (len(days), days[0], days[1], days[-1]) == (24, "2025-06-15", "2025-05-31", "2023-07-31")


def test_a_stopgap_removed_on_the_last_day_of_a_month_is_gone_on_that_day(manager: User) -> None:
    ended = make.stopgap(on=date(2025, 4, 10), removed_on=date(2025, 4, 30))
    rebuild_spells([ended.station_id, make.stopgap(on=date(2025, 4, 30)).station_id])
    assert trend(manager)["2025-04-30"] == ["1", "1"]


def test_the_chart_and_its_table_hold_the_same_numbers(fern: FernRow, manager: User) -> None:
    sheet = open_page(manager, "/")
    bars = sheet.response.context["trend"]["data"]
    by_month = [list(map(str, values)) for values in zip(*(bar["y"] for bar in bars), strict=True)]
    assert by_month == [row[1:-1] for row in reversed(sheet.rows("trend"))]
    assert [bar["name"] for bar in bars] == ["wire", "valve or solenoid", "link lost"]


def test_the_title_of_the_trend_states_the_finding(fern: FernRow, manager: User) -> None:
    assert open_page(manager, "/").panel("trend").startswith("Up to 5 from 1 a year ago")
