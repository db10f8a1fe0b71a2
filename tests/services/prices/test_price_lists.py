"""Prices change from a day, and what was booked keeps its own."""

from datetime import date
from decimal import Decimal

import pytest

from faults.models import JobLine, LineBasis, LineKind, PriceList
from faults.prices.engines.pricing import HOUR, LUMP, Charge, Price
from faults.prices.services.holding import currencies_of, currency_at, prices_at
from faults.prices.services.lists import (
    PriceFacts,
    PriceScope,
    UnableToPrice,
    change_prices,
    correct_prices,
    open_list,
    take_back_prices,
)
from faults.work.queries.jobs import lines_listed, lines_of
from faults.work.services.lines import add_line, rate_on
from faults.work.services.told import LineFacts
from sites.kernel.engines.roles import Role
from sites.models import Property, Tariff
from tests import make, make_jobs, make_prices
from tests.cast import Cast, Corner

pytestmark = pytest.mark.django_db

D = Decimal
JULY, AUGUST = date(2025, 7, 1), date(2025, 8, 1)


def facts(*prices: Price, currency: str = "USD", tax: str | None = None) -> PriceFacts:
    return PriceFacts(currency, None if tax is None else D(tax), prices)


def tracing(rate: str) -> Price:
    return Price(Charge.TRACING, D(rate))


def change(scope: PriceScope, on: date, *prices: Price, **more: str) -> PriceList:
    return change_prices(scope=scope, facts=facts(*prices, **more), on=on, by=make.user(Role.OWNER))


def rate(place: Property, day: date) -> Decimal | None:
    return prices_at(place, day).per_hour(Charge.TRACING)


def test_a_change_holds_from_its_day_and_not_the_day_before() -> None:
    place = make.place()
    change(PriceScope(), JULY, tracing("65"))
    change(PriceScope(), AUGUST, tracing("70"))
    days = [date(2025, 6, 30), JULY, date(2025, 7, 31), AUGUST]
    assert [rate(place, day) for day in days] == [None, D(65), D(65), D(70)]


def test_the_nearest_list_wins_and_another_client_never_counts() -> None:
    ours, other = make.place(), make.place()
    change(PriceScope(), JULY, tracing("65"), Price(Charge.TRIP, D(30), LUMP))
    change(PriceScope(client=ours.client), JULY, tracing("60"))
    change(PriceScope(property=ours), JULY, tracing("55"))
    change(PriceScope(client=other.client), JULY, tracing("90"))
    beside = make.place(client=ours.client)
    assert [rate(each, JULY) for each in (ours, beside, other)] == [D(55), D(60), D(90)]
    assert prices_at(ours, JULY).of(Charge.TRIP) == Price(Charge.TRIP, D(30), LUMP)


def test_a_tariff_goes_before_the_company_and_after_the_propertys_own_list() -> None:
    place = make.place()
    change(PriceScope(), JULY, tracing("65"))
    Tariff.objects.create(property=place, labour_rate=D("50"), standby_rate=D("20"))
    assert (rate(place, JULY), rate_on(place, LineKind.STANDBY, JULY)) == (D(50), D(20))
    change(PriceScope(property=place), JULY, tracing("55"))
    assert rate(place, JULY) == D(55)
    assert currency_at(place, JULY) == "USD"


def test_currencies_of_many_are_those_of_each() -> None:
    """By own list, client's, company's; from its first day on; none where no list says it."""
    ours, beside, other = make.place(), make.place(), make.place()
    beside.client = ours.client
    beside.save()
    places = (ours, beside, other)
    clients = {place.pk: place.client_id for place in places}
    assert set(currencies_of(clients, JULY).values()) == {""}
    change(PriceScope(), JULY, tracing("65"))
    change(PriceScope(client=ours.client), JULY, tracing("60"), currency="CAD")
    change(PriceScope(property=ours), AUGUST, tracing("55"), currency="MXN")
    for day, names in ((JULY, ["CAD", "CAD", "USD"]), (AUGUST, ["MXN", "CAD", "USD"])):
        found = currencies_of(clients, day)
        assert [found[place.pk] for place in places] == names
        assert [currency_at(place, day) for place in places] == names


def test_a_line_that_is_booked_keeps_its_price() -> None:
    job = make_jobs.job()
    make_prices.price_list({Charge.TRACING: 65, Charge.DIGGING: 60})
    told = LineFacts(
        kind=LineKind.TIME,
        basis=LineBasis.BILLABLE,
        on=make.TODAY,
        what="tracing",
        quantity=D("1.5"),
        unit="h",
        unit_price=None,
        price_by_rate=True,
    )
    line = add_line(job=job, facts=told, by=make.user(Role.TECHNICIAN), today=make.TODAY)
    assert line.amount == D("97.50")
    change(PriceScope(), make.TODAY, tracing("70"))
    assert JobLine.objects.get(pk=line.pk).amount == D("97.50")


def test_a_dig_is_priced_as_digging_and_without_such_a_price_as_tracing() -> None:
    place = make.place()
    make_prices.price_list({Charge.TRACING: 65, Charge.DIGGING: 60})
    assert rate_on(place, LineKind.TIME, make.TODAY, digs=True) == D(60)
    assert rate_on(place, LineKind.TIME, make.TODAY) == D(65)
    other = make_prices.price_list({Charge.TRACING: 71}, property=make.place())
    assert rate_on(other.property, LineKind.TIME, make.TODAY) == D(71)
    assert rate_on(place, LineKind.PARTS, make.TODAY) is None


@pytest.mark.parametrize(
    ("given", "field"),
    [
        (facts(tracing("65"), currency="US"), "currency"),
        (facts(tracing("65"), currency="usd"), "currency"),
        (facts(), None),
        (facts(tracing("65"), tracing("70")), None),
    ],
)
def test_what_is_no_list_is_refused_and_nothing_is_kept(
    given: PriceFacts, field: str | None
) -> None:
    with pytest.raises(UnableToPrice) as refusal:
        change_prices(scope=PriceScope(), facts=given, on=JULY, by=make.user(Role.OWNER))
    assert refusal.value.field == field
    assert not PriceList.objects.exists()


def test_a_day_that_is_not_later_and_a_list_that_says_the_same_are_refused() -> None:
    change(PriceScope(), JULY, tracing("65"))
    with pytest.raises(UnableToPrice) as refusal:
        change(PriceScope(), JULY, tracing("70"))
    assert refusal.value.field == "on"
    with pytest.raises(UnableToPrice):
        change(PriceScope(), AUGUST, tracing("65.00"))
    assert change(PriceScope(), AUGUST, tracing("65"), tax="8.25").tax_percent == D("8.25")


def test_a_correction_holds_for_all_days_of_the_list_and_keeps_what_was_there() -> None:
    place, made = make.place(), change(PriceScope(), JULY, tracing("65"))
    wire = Price(Charge.MATERIAL, D("0.42"), "ft", "wire")
    correct_prices(prices=made, facts=facts(tracing("66"), wire), why="a slip of the pen")
    assert rate(place, JULY) == D(66)
    assert made.items.get(charge="tracing").history.count() == 2
    correct_prices(prices=made, facts=facts(wire), why="nobody traces here")
    assert rate(place, JULY) is None
    with pytest.raises(UnableToPrice):
        correct_prices(prices=made, facts=facts(wire), why="the same")


def test_taken_back_the_list_before_holds_again() -> None:
    place = make.place()
    first = change(PriceScope(), JULY, tracing("65"))
    second = change(PriceScope(), AUGUST, tracing("70"))
    with pytest.raises(UnableToPrice):
        take_back_prices(prices=first, why="not the newest")
    take_back_prices(prices=second, why="agreed later")
    assert rate(place, AUGUST) == D(65)
    assert open_list(PriceScope()) == first
    take_back_prices(prices=PriceList.objects.get(pk=first.pk), why="never agreed")
    assert rate(place, AUGUST) is None
    assert change(PriceScope(), JULY, Price(Charge.TRACING, D(60), HOUR)).to_on is None


def test_a_lines_currency_is_that_of_the_nearest_list_on_its_day(ours: Corner, cast: Cast) -> None:
    job = make_jobs.job(fault=ours.fault)
    before, first, later = (
        make_jobs.line(job=job, on=day) for day in (date(2025, 5, 31), date(2025, 6, 1), AUGUST)
    )
    make_prices.price_list({}, from_on=date(2025, 6, 1))
    make_prices.price_list({}, from_on=date(2025, 6, 1), currency="EUR", client=make.client())
    make_prices.price_list({}, from_on=AUGUST, currency="CAD", client=ours.property.client)
    said = {line.pk: line.currency for line in lines_listed(cast.owner)}  # type: ignore[attr-defined]
    assert said == {before.pk: "", first.pk: "USD", later.pk: "CAD"}
    assert currency_at(ours.property, AUGUST) == "CAD"
    make_prices.price_list({}, from_on=AUGUST, currency="MXN", property=ours.property)
    assert [line.currency for line in lines_of(job)] == ["", "USD", "MXN"]  # type: ignore[attr-defined]
