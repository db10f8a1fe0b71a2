"""A quote is made at the prices of its day, and stays as it was made."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from faults.models import (
    Fault,
    FaultStation,
    Quote,
    QuoteOption,
    QuotePurpose,
)
from faults.prices.engines.pricing import Charge, Price
from faults.prices.services.lists import PriceFacts, PriceScope, change_prices
from faults.quotes.engines.quoting import OptionKind, Work
from faults.quotes.services.assumed import words_of
from faults.quotes.services.listed import listed
from faults.quotes.services.making import withdraw_quote
from faults.quotes.services.shown import shown
from faults.quotes.services.standing import Standing, standing_of
from faults.quotes.services.timer import month_on_a_timer
from faults.quotes.services.told import UnableToQuote
from faults.work.engines.digging import Ground, Hole
from sites.kernel.engines.roles import Role
from sites.water.services.ahead import if_it_stays
from tests import make, make_prices, make_quotes, make_water

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


def test_the_worked_example_is_kept_to_the_cent(fault: Fault) -> None:
    quote = make_quotes.quote(fault)
    we_dig = option(quote, OptionKind.WE_DIG)
    assert (we_dig.total.net, we_dig.total.tax) == (D("320.42"), None)
    assert round(we_dig.hours, 4) == D("5.0833")
    # 2.65 h of ours, 2 h of standing by.
    assert option(quote, OptionKind.YOU_DIG).total.net == D("139.75") + D("32.50") + 90
    assert quote.currency == "USD"


def test_a_price_that_changes_later_touches_no_quote(fault: Fault) -> None:
    quote = make_quotes.quote(fault)
    change_prices(
        scope=PriceScope(),
        facts=PriceFacts("CAD", D("5"), [Price(Charge.TRACING, D(99))]),
        on=make.TODAY,
        by=make.user(Role.OWNER),
    )
    kept = Quote.objects.get(pk=quote.pk)
    assert option(kept, OptionKind.WE_DIG).total.gross == D("320.42")
    assert (kept.currency, kept.tax_percent) == ("USD", None)


def test_what_it_rests_on_is_said(fault: Fault) -> None:
    words = words_of(make_quotes.quote(fault))
    assert words == [
        "Prices of 2025-06-15.",
        "A hole of 3 ft by 24 in, 18 in deep; the ground is firm.",
        "Digging by hand takes 0.59 to 0.93 h; the upper figure is priced.",
        "If it lies deeper or elsewhere, these prices do not hold: we make another quote.",
        "1.75 h of tracing are in each price.",
    ]


def test_a_ground_that_is_not_known_is_said_so(fault: Fault) -> None:
    words = words_of(make_quotes.quote(fault, ground=None))
    assert "A hole of 3 ft by 24 in, 18 in deep; the ground is not known." in words
    assert "Digging by hand takes 0.5 to 0.93 h; the upper figure is priced." in words


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"valid_until": make.TODAY - timedelta(days=1)}, "valid_until"),
        ({"valid_until": make.TODAY + timedelta(days=367)}, "valid_until"),
        ({"options": frozenset()}, "options"),
        ({"options": frozenset({OptionKind.TIMER})}, "options"),
        ({"options": frozenset({OptionKind.SEARCH})}, "options"),
        ({"hole": Hole(3, 24, 240.1)}, "depth_in"),
        ({"ground": Ground.ROCK}, "ground"),
        ({"work": Work(machine_h=D(2)), "options": frozenset({OptionKind.MACHINE})}, None),
        ({"work": Work(), "options": frozenset({OptionKind.OTHER_WIRE})}, "options"),
    ],
)
def test_what_cannot_be_quoted_is_refused_and_nothing_is_kept(
    fault: Fault, wrong: dict[str, Any], field: str | None
) -> None:
    with pytest.raises(UnableToQuote) as refusal:
        make_quotes.quote(fault, **wrong)
    assert refusal.value.field == field
    assert not Quote.objects.exists()


def test_valid_today_and_a_year_ahead_at_most(fault: Fault) -> None:
    for days in (0, 366):
        make_quotes.quote(fault, valid_until=make.TODAY + timedelta(days=days))
    assert [one.version for one in Quote.objects.order_by("version")] == [1, 2]


def test_without_a_currency_nothing_is_quoted() -> None:
    with pytest.raises(UnableToQuote, match="currency"):
        make_quotes.quote()


def test_a_closed_fault_is_not_quoted(fault: Fault) -> None:
    fault.stage = "withdrawn"
    fault.save()
    with pytest.raises(UnableToQuote, match="closed"):
        make_quotes.quote(fault)


def test_tax_of_the_list_is_added(fault: Fault) -> None:
    make_prices.price_list({}, client=fault.property.client, tax_percent="8.25")
    total = option(make_quotes.quote(fault), OptionKind.WE_DIG).total
    assert (total.net, total.tax, total.gross) == (D("320.42"), D("26.43"), D("346.85"))


def state(quote: Quote, day: date = make.TODAY) -> Standing:
    return standing_of(Quote.objects.get(pk=quote.pk), today=day)


def test_it_holds_until_its_last_day_and_not_the_day_after(fault: Fault) -> None:
    quote = make_quotes.quote(fault)
    assert state(quote, quote.valid_until) is Standing.OPEN
    assert state(quote, quote.valid_until + timedelta(days=1)) is Standing.EXPIRED


@pytest.mark.parametrize(
    ("depth_in", "expected"),
    [
        (18.0, Standing.OPEN),
        (18.04, Standing.OPEN),
        (18.1, Standing.OTHER_DEPTH),
        (24.0, Standing.OTHER_DEPTH),
        (None, Standing.OPEN),
    ],
)
def test_another_depth_asks_for_another_version(
    fault: Fault, depth_in: float | None, expected: Standing
) -> None:
    quote = make_quotes.quote(fault)
    one = fault.breaks.get()
    one.depth_in = depth_in
    one.save()
    assert state(quote) is expected


def test_the_deepest_of_two_breaks_counts_until_it_is_mended(fault: Fault) -> None:
    quote = make_quotes.quote(fault)
    deeper = make.break_found(fault=fault, depth_in=30.0, running_number=2)
    assert state(quote) is Standing.OTHER_DEPTH
    deeper.mended_on = make.TODAY
    deeper.save()
    assert state(quote) is Standing.OPEN


def test_a_newer_version_replaces_it_until_that_one_is_withdrawn(fault: Fault) -> None:
    first = make_quotes.quote(fault)
    second = make_quotes.quote(fault, hole=Hole(3, 24, 24))
    assert (state(first), state(second)) == (Standing.REPLACED, Standing.OTHER_DEPTH)
    withdraw_quote(quote=second, why="the wrong fault", today=make.TODAY)
    assert (state(first), state(second)) == (Standing.OPEN, Standing.WITHDRAWN)
    assert [each.words for each in listed(fault, today=make.TODAY)] == ["withdrawn", "open"]
    with pytest.raises(UnableToQuote):
        withdraw_quote(quote=second, why="again", today=make.TODAY)


@pytest.mark.parametrize(
    ("depth_in", "word"), [(47.9, ""), (48, "ladder"), (59.9, "ladder"), (60, "sloped")]
)
def test_cautions_stand_with_every_dig_and_grow_with_its_depth(
    fault: Fault, depth_in: float, word: str
) -> None:
    quote = make_quotes.quote(fault, hole=Hole(3, 24, depth_in))
    cautions = shown(quote, today=make.TODAY).cautions
    assert "811" in cautions[0]
    assert len(cautions) == (3 if word else 2)
    assert word in cautions[-1]


def test_a_client_who_digs_pays_for_mending_and_not_for_digging(fault: Fault) -> None:
    ours, theirs = shown(make_quotes.quote(fault), today=make.TODAY).options
    assert [(line.what, line.quantity) for line in ours.lines] == [
        ("tracing and travel", "2.15 h"),
        ("digging, filling and mending by hand", "2.43 h"),
        ("standing by", "0.5 h"),
    ]
    assert [line.what for line in theirs.lines] == [
        "tracing and travel",
        "mending and testing",
        "standing by while others dig",
    ]


def test_a_month_on_the_timer_is_a_twelfth_of_the_year_to_come(prices: None) -> None:
    make_water.climate()
    place = make.place(climate_table="Valley")
    lawn = make_water.lawn(place, on=date(2025, 1, 15))
    make_water.tariff(place)
    fault = make_quotes.found_fault(station=lawn)
    later, now = (
        if_it_stays([lawn.pk], until=day, today=make.TODAY)
        for day in (make.TODAY + timedelta(days=365), make.TODAY)
    )
    assert later.cost is not None
    assert now.cost is not None
    assert later.cost > now.cost > 0
    cost, is_least = month_on_a_timer(fault, today=make.TODAY)
    assert cost == D(str(round((later.cost - now.cost) / 12, 2)))
    assert not is_least
    # A second station of which nothing is known: at least so much.
    FaultStation.objects.create(
        fault=fault, station=make.station(controller=lawn.controller), stage=fault.stage
    )
    assert month_on_a_timer(fault, today=make.TODAY) == (cost, True)


def test_a_search_warns_of_no_dig_and_says_how_long_it_takes(fault: Fault) -> None:
    quote = make_quotes.quote(
        fault,
        purpose=QuotePurpose.SEARCH,
        options=frozenset({OptionKind.SEARCH, OptionKind.TIMER}),
        work=Work(searching_h=D(3)),
        hole=None,
        search_min=(96.0, 178.0),
    )
    assert shown(quote, today=make.TODAY).cautions == []
    said = "A search here most likely takes 1.6 h, nine times of ten under 2.97 h."
    assert said in words_of(quote)
    assert option(quote, OptionKind.SEARCH).total.net == D(195)
    # The water of its station is not known, so a month on the timer is not known, and not 0.
    assert option(quote, OptionKind.TIMER).month_cost is None
    months = [each.month for each in shown(quote, today=make.TODAY).options]
    assert months == ["", "What a month costs in water is not known."]
