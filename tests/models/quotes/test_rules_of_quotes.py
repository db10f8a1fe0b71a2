"""Each named rule on quotes refuses what it names."""

from datetime import timedelta
from typing import Any

import pytest

from faults.models import Quote, QuoteAnswer, QuoteLine, QuoteLink, QuoteOption
from faults.prices.engines.pricing import Charge
from faults.quotes.engines.quoting import OptionKind
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def quote(**given: Any) -> Quote:
    usual = {
        "version": 1,
        "purpose": "dig",
        "made_on": make.TODAY,
        "valid_until": make.TODAY,
        "currency": "USD",
    }
    case = given.pop("fault", None) or make.fault()
    return Quote.objects.create(fault=case, **{**usual, **given})


def option(**given: Any) -> QuoteOption:
    of = given.pop("quote", None) or quote()
    usual = {"kind": OptionKind.WE_DIG.value, "hours": 1}
    return QuoteOption.objects.create(quote=of, **{**usual, **given})


def line(**given: Any) -> QuoteLine:
    usual = {"charge": Charge.TRACING.value, "quantity": 1, "unit": "h", "price": 65}
    return QuoteLine.objects.create(option=option(), **{**usual, **given})


def test_quote_version_once_per_fault() -> None:
    first = quote()
    quote(fault=first.fault, version=2)
    quote()
    with refused_by("quote_version_once_per_fault"):
        quote(fault=first.fault)


def test_quote_valid_on_its_own_day() -> None:
    with refused_by("quote_valid_on_its_own_day"):
        quote(valid_until=make.TODAY - timedelta(days=1))


def test_quote_names_its_currency() -> None:
    with refused_by("quote_names_its_currency"):
        quote(currency="")


def test_quote_option_offered_once() -> None:
    first = option()
    option(quote=first.quote, kind=OptionKind.YOU_DIG.value)
    with refused_by("quote_option_offered_once"):
        option(quote=first.quote)


def test_quote_option_hours_not_negative() -> None:
    option(hours=0)
    with refused_by("quote_option_hours_not_negative"):
        option(hours="-0.01")


def test_quote_line_quantity_above_0() -> None:
    with refused_by("quote_line_quantity_above_0"):
        line(quantity=0)


def test_quote_line_price_not_negative() -> None:
    line(price=0)
    with refused_by("quote_line_price_not_negative"):
        line(price="-0.01")


def link(**given: Any) -> QuoteLink:
    of = given.pop("quote", None) or quote()
    usual = {
        "secret_hash": str(QuoteLink.objects.count()),
        "sent_to": "Ann",
        "made_at": make.NOW,
        "expires_at": make.NOW + timedelta(days=1),
    }
    return QuoteLink.objects.create(quote=of, **{**usual, **given})


def answer(**given: Any) -> QuoteAnswer:
    of = given.pop("quote", None) or quote()
    return QuoteAnswer.objects.create(
        quote=of, **{"kind": "no", "name": "Ann", "at": make.NOW, **given}
    )


def test_quote_link_one_in_force() -> None:
    first = link(revoked_at=make.NOW)
    second = link(quote=first.quote)
    link()
    with refused_by("quote_link_one_in_force"):
        link(quote=second.quote)


def test_quote_link_ends_after_it_was_made() -> None:
    with refused_by("quote_link_ends_after_it_was_made"):
        link(expires_at=make.NOW)


def test_quote_answer_decides_once() -> None:
    chosen = option()
    answer(quote=chosen.quote, reopened_on=make.TODAY)
    answer(quote=chosen.quote, kind="question")
    answer(quote=chosen.quote, kind="question")
    answer(quote=chosen.quote)
    with refused_by("quote_answer_decides_once"):
        answer(quote=chosen.quote, kind="yes", option=chosen)


def test_quote_answer_yes_names_its_option() -> None:
    chosen = option()
    with refused_by("quote_answer_yes_names_its_option"):
        answer(kind="yes")
    with refused_by("quote_answer_yes_names_its_option"):
        answer(quote=chosen.quote, option=chosen)


def test_quote_answer_names_who_gave_it() -> None:
    with refused_by("quote_answer_names_who_gave_it"):
        answer(name="")


@pytest.mark.parametrize("limit", ["up_to_hours", "up_to_amount"])
def test_quote_answer_limits_above_0(limit: str) -> None:
    with refused_by("quote_answer_limits_above_0"):
        answer(**{limit: 0})
