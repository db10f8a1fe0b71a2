"""What is not known, or known only in part, is said on every page and in every file."""

import io
from typing import Any

import pytest
from openpyxl import load_workbook

from faults.prices.engines.pricing import Charge
from sites.kernel.engines.roles import Role
from sites.models import Meter, Station, User
from sites.templatetags.water import cents, least
from tests import make, make_prices, make_water
from tests.web.pages import open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]


@pytest.fixture
def lawn() -> Station:
    """A lawn off central, of which all is known."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    place = make.place(code="Lawn Park", climate_table="Valley")
    make_water.tariff(place, labour_rate="60")
    return make_water.lawn(place)


def meter(station: Station) -> Meter:
    """Return the meter of a station that is off."""
    found: Meter = Meter.objects.get(spell__station=station, spell__to_on=None)
    return found


def shown(gallons: float | None) -> str:
    """Write gallons as a page does."""
    assert gallons is not None
    return f"{gallons:,.0f} gal"


def workbook(user: User, url: str) -> list[list[Any]]:
    """Return the rows of a workbook, headings first."""
    response: Any = signed_in(user).get(url)
    book = load_workbook(io.BytesIO(b"".join(response.streaming_content)))
    return [list(row) for row in book.worksheets[0].iter_rows(values_only=True)]


def test_at_least_stands_before_gallons_and_money_on_each_page(
    lawn: Station, manager: User
) -> None:
    """A timer found in 2025, of which nobody knows since when."""
    lawn.spells.update(from_is_exact=False)
    found = meter(lawn)
    place = lawn.controller.property
    for url in (f"/properties/{place.ref}/water/", f"/stations/{lawn.ref}/water/"):
        words = open_page(manager, url).words
        assert f"≥ {shown(found.excess_gal)}" in words, url
        assert f"≥ {cents(found.cost, '')}" in words, url
    headings, row = workbook(manager, "/?export=xlsx")
    first = dict(zip(headings, row, strict=True))
    assert (first["Excess water: at least"], first["It costs: at least"]) == ("≥", "≥")
    headings, row = workbook(manager, "/water/?export=xlsx")
    assert dict(zip(headings, row, strict=True))["At least"] == "≥"


def test_money_stands_with_its_currency_and_two_are_never_added(
    lawn: Station, manager: User
) -> None:
    """On Off central, its past days, What it costs, a property, a station, and in both files."""
    make_prices.price_list({Charge.TRACING: 60})
    other = make.place(code="Far Park", climate_table="Valley")
    make_water.tariff(other, labour_rate="60")
    far = make_water.lawn(other)
    here, there = (cents(meter(each).cost, "") for each in (lawn, far))
    place = lawn.controller.property
    for url in ("/", "/water/"):
        assert f"{here} USD" in open_page(manager, url).words
    for url in (f"/properties/{place.ref}/water/", f"/stations/{lawn.ref}/water/"):
        assert f"{here} USD" in open_page(manager, url).words, url
    assert " USD" in open_page(manager, "/?day=2025-09-20").panel("costs")
    both = meter(lawn).cost + meter(far).cost  # type: ignore[operator]
    assert f"{cents(both, 'USD')}" in open_page(manager, "/").panel("costs")
    make_prices.price_list({Charge.TRACING: 50}, property=other, currency="MXN")
    for url, panel in (("/", "costs"), ("/water/", "sums")):
        assert f"{there} MXN + {here} USD" in open_page(manager, url).panel(panel)
    for url, name in (("/?export=xlsx", "Property"), ("/water/?export=xlsx", "Property")):
        headings, *rows = workbook(manager, url)
        at, money = headings.index(name), headings.index("Currency")
        found = {row[at]: row[money] for row in rows}
        assert found == {"Lawn Park": "USD", "Far Park": "MXN"}, url


def test_an_exact_figure_has_no_such_mark(lawn: Station, manager: User) -> None:
    words = open_page(manager, f"/properties/{lawn.controller.property.ref}/water/").words
    assert shown(meter(lawn).excess_gal) in words
    assert "≥" not in words
    headings, row = workbook(manager, "/?export=xlsx")
    assert "≥" not in dict(zip(headings, row, strict=True)).values()


def test_a_timer_behind_a_master_valve_is_asked_for_and_then_counted(lawn: Station) -> None:
    owner = make.user(Role.OWNER)
    known = meter(lawn).excess_gal
    assert f"Since fitted {shown(known)}" in open_page(owner, "/").panel("costs")
    lawn.depends_on = make.station(controller=lawn.controller, number=90, kind="master valve")
    lawn.save()
    assert "1 station" in open_page(owner, "/").panel("costs")
    missing = open_page(owner, "/water/missing/")
    assert "how its master valve or pump opens" in missing.words
    url = f"/stations/{lawn.ref}/main-valve/"
    assert url in missing.html
    gap = lawn.stopgaps.get()
    send(owner, url, main_valve="same minutes", stopgaps=[gap.pk])
    assert url not in open_page(owner, "/water/missing/").html
    assert meter(lawn).excess_gal == known


@pytest.mark.parametrize(
    ("words", "is_least", "reads"),
    [
        ("0.00 USD", True, "not known"),
        ("0.01 USD", True, "≥\u00a00.01 USD"),
        ("0.00 USD", False, "0.00 USD"),
        ("0 gal", True, "not known"),
        ("0.1 m³", True, "≥\u00a00.1 m³"),
        ("0.00 USD + 0.00 MXN", True, "not known"),
        ("0.00 USD + 2.00 MXN", True, "≥\u00a00.00 USD + 2.00 MXN"),
        ("not known", True, "not known"),
    ],
)
def test_at_least_nothing_is_not_known(words: str, is_least: bool, reads: str) -> None:
    """Common sense, no source: at least nothing says nothing."""
    assert least(words, is_least) == reads


def test_at_least_nothing_reads_as_not_known_on_each_page(lawn: Station, manager: User) -> None:
    lawn.spells.update(from_is_exact=False)
    Meter.objects.update(excess_gal=0.2, month_excess_gal=0.2, cost=0.001)
    place = lawn.controller.property
    pages = ("/", "/water/", f"/properties/{place.ref}/water/", f"/stations/{lawn.ref}/water/")
    for url in pages:
        words = open_page(manager, url).words
        assert "≥ 0 gal" not in words, url
        assert "≥ 0.00" not in words, url
        assert "not known" in words, url
