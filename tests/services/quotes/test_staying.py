"""What it costs to do nothing, and what that is called."""

from datetime import timedelta
from decimal import Decimal

import pytest

from faults.cases.services.man_hours import in_hours
from faults.cases.services.spending import spending_of
from faults.models import (
    Fault,
    FaultStation,
    JobState,
    PriceItem,
    PriceList,
    Quote,
    QuoteOption,
    QuotePurpose,
)
from faults.prices.engines.pricing import LUMP, Charge
from faults.quotes.engines.quoting import OptionKind, Work
from faults.quotes.services.assumed import words_of
from faults.quotes.services.shown import shown
from faults.quotes.services.staying import option_words
from sites.models import Stopgap
from tests import make, make_jobs, make_prices, make_quotes

pytestmark = pytest.mark.django_db

D = Decimal


@pytest.fixture
def prices() -> None:
    """The company's list: 65 an hour of tracing and digging, 45 of standing by."""
    make_prices.price_list({Charge.TRACING: 65, Charge.DIGGING: 65, Charge.STANDBY: 45})


@pytest.fixture
def fault(prices: None) -> Fault:
    """A fault that is found, 18 in deep."""
    return make_quotes.found_fault()


def option(quote: Quote, kind: OptionKind) -> QuoteOption:
    found: QuoteOption = quote.options.get(kind=kind.value)
    return found


def search_and_stay(fault: Fault, *, trips: int = 0) -> Quote:
    return make_quotes.quote(
        fault,
        purpose=QuotePurpose.SEARCH,
        options=frozenset({OptionKind.SEARCH, OptionKind.TIMER}),
        work=Work(searching_h=D("1.25"), trips=D(trips)),
        hole=None,
    )


def test_doing_nothing_costs_nothing_while_nobody_was_there(fault: Fault) -> None:
    PriceItem.objects.filter(charge=Charge.TRACING.value).update(price=D(74))
    for charge, price in ((Charge.MINIMUM, D(120)), (Charge.TRIP, D(35))):
        PriceItem.objects.create(
            list=PriceList.objects.get(), charge=charge.value, unit=LUMP, price=price
        )
    quote = search_and_stay(fault, trips=1)
    assert option(quote, OptionKind.SEARCH).total.net == D(155)
    stays = option(quote, OptionKind.TIMER)
    assert (stays.total.net, stays.hours, stays.lines.count()) == (0, 0, 0)


def test_doing_nothing_costs_the_recorded_hours_and_no_more(fault: Fault) -> None:
    # Of a visit nobody of whom is named: one person for an hour.
    began = make.NOW - timedelta(hours=2)
    make_jobs.started(
        fault=fault, state=JobState.DONE, started_at=began, actual_minutes=60, crew=None
    )
    assert in_hours(spending_of(fault, at=make.NOW).used_man_min) == D(1)
    assert option(search_and_stay(fault), OptionKind.TIMER).total.net == D(65)
    both = frozenset({OptionKind.WE_DIG, OptionKind.TIMER})
    dig = make_quotes.quote(fault, options=both)
    assert option(dig, OptionKind.TIMER).total.net == D(65)
    said = "1.75 h of tracing are in each price of work; of them 1 h are recorded as done."
    assert said in words_of(dig)
    # The office may charge less than is recorded.
    less = make_quotes.quote(fault, options=both, work=Work(searching_h=D("0.5"), mending_h=D(1)))
    assert option(less, OptionKind.TIMER).total.net == D("32.50")


@pytest.mark.parametrize(
    ("kinds", "words"),
    [
        ([], "leave it as it is"),
        (["battery timer"], "leave it on a timer"),
        (["shut off"], "leave it shut off"),
        (["by hand"], "leave it watered by hand"),
        (["held open"], "leave it held open"),
        (["shut off", "shut off"], "leave it shut off"),
        (["shut off", "battery timer"], "leave it as it is"),
    ],
)
def test_doing_nothing_is_called_after_what_stands_there(
    fault: Fault, kinds: list[str], words: str
) -> None:
    first = fault.stations.get().station
    for n, kind in enumerate(kinds):
        where = make.station(controller=first.controller) if n else first
        if n:
            FaultStation.objects.create(fault=fault, station=where, stage=fault.stage)
        make.stopgap(station=where, kind=kind)
    quote = search_and_stay(fault)
    assert [each.words for each in shown(quote, today=make.TODAY).options][1] == words
    # The quote stays as it was made.
    Stopgap.objects.update(removed_on=make.TODAY)
    assert option_words(option(quote, OptionKind.TIMER)) == words


def test_a_station_that_is_shut_off_is_not_said_to_cost_nothing(fault: Fault) -> None:
    make.stopgap(station=fault.stations.get().station, kind="shut off")
    months = [each.month for each in shown(search_and_stay(fault), today=make.TODAY).options]
    assert months == ["", "Nothing is watered there meanwhile."]
