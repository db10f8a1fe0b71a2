"""The private address of a quote: until when it works, and that only its hash is kept."""

from datetime import UTC, datetime, timedelta

import pytest

from faults.models import AnswerKind, Asked, Quote, QuoteLink
from faults.prices.engines.pricing import Charge
from faults.quotes.services.answering import Said, answer_quote
from faults.quotes.services.links import link_by, link_in_force, revoke_link, send_quote
from faults.quotes.services.told import UnableToQuote
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_prices, make_quotes

pytestmark = pytest.mark.django_db


@pytest.fixture
def dispatcher() -> User:
    """Who sends the quote."""
    return make.user(Role.DISPATCHER)


@pytest.fixture
def quote(dispatcher: User) -> Quote:
    """The worked example."""
    make_prices.price_list({Charge.TRACING: 65, Charge.DIGGING: 65, Charge.STANDBY: 45})
    return make_quotes.quote(by=dispatcher)


def test_a_link_opens_until_the_end_of_the_last_valid_day_and_never_later(
    quote: Quote, dispatcher: User
) -> None:
    secret = make_quotes.secret_of(quote, by=dispatcher, at=make.NOW)
    end = datetime(2025, 7, 16, tzinfo=UTC)
    assert quote.valid_until.isoformat() == "2025-07-15"
    assert link_by(secret, at=end - timedelta(seconds=1)) is not None
    assert link_by(secret, at=end) is None


def test_only_the_newest_address_works_and_only_its_hash_is_kept(
    quote: Quote, dispatcher: User
) -> None:
    first = make_quotes.secret_of(quote, by=dispatcher, at=make.NOW)
    second = make_quotes.secret_of(quote, by=dispatcher, at=make.NOW)
    assert link_by(first, at=make.NOW) is None
    assert link_by(second, at=make.NOW) == link_in_force(quote)
    assert Asked.objects.count() == 1
    kept = [str(row) for row in QuoteLink.objects.values()]
    assert not [row for row in kept if first in row or second in row]
    revoke_link(quote=quote, at=make.NOW)
    assert link_by(second, at=make.NOW) is None
    with pytest.raises(UnableToQuote):
        revoke_link(quote=quote, at=make.NOW)


def test_what_cannot_be_answered_is_not_sent(quote: Quote, dispatcher: User) -> None:
    quote.fault.breaks.update(depth_in=30)
    for to in ("Ann", ""):
        with pytest.raises(UnableToQuote, match="another depth"):
            send_quote(quote=quote, sent_to=to, by=dispatcher, at=make.NOW)
    quote.fault.breaks.update(depth_in=18)
    with pytest.raises(UnableToQuote) as refusal:
        send_quote(quote=quote, sent_to="  ", by=dispatcher, at=make.NOW)
    assert refusal.value.field == "sent_to"
    quote.fault.breaks.update(depth_in=30)
    with pytest.raises(UnableToQuote, match="another depth"):
        answer_quote(
            quote=quote,
            said=Said(AnswerKind.YES.value, "Ann", "we dig"),
            by=dispatcher,
            at=make.NOW,
        )
