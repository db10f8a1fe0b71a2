"""The quote's PDF: the figures of the page, to who may see them, in the language of the page."""

import pytest
from django.test import Client
from django.urls import reverse

from faults.cases.engines.stages import Stage
from faults.models import Quote
from sites.kernel.views.limits import reset_limits
from tests import make, make_prices, make_quotes
from tests.cast import THEIRS, Cast, Corner
from tests.services.issued.reading import squeezed, words_of
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def quote(cast: Cast, ours: Corner) -> Quote:
    """Our quote of two options, with a photo that is shown and one that is hidden."""
    make_prices.price_list()
    ours.fault.stations.update(stage=Stage.FOUND.value)
    make.break_found(fault=ours.fault, depth_in=18.0)
    photos = [
        make.fault_photo(fault=ours.fault, caption=f"{word} picture") for word in ("shown", "gone")
    ]
    made = make_quotes.quote(ours.fault, by=cast.dispatcher, photos=tuple(photos))
    photos[1].hidden_on = make.TODAY
    photos[1].save()
    reset_limits()
    return made


def test_says_what_the_office_reads_on_its_page(quote: Quote, cast: Cast) -> None:
    page = open_page(cast.dispatcher, reverse("faults:quote", args=[quote.ref]))
    answer = signed_in(cast.dispatcher).get(page.links["Take it as a PDF"])
    assert answer.headers["Content-Type"] == "application/pdf"
    assert "no-store" in answer.headers["Cache-Control"]
    words = words_of(answer.content)
    for option in quote.options.all():
        assert squeezed(str(option.get_kind_display())).casefold() in words.casefold()
        for line in option.lines.all():
            assert f"{line.amount:,.2f}" in words
            assert f"{line.amount:,.2f}" in squeezed(page.words)
        assert f"{option.total.net:,.2f}{quote.currency}" in words
    assert squeezed("The wire is cut beside the walk.") in words
    assert squeezed("Nobody digs before underground utilities are marked") in words
    assert "shownpicture" in words
    assert "gonepicture" not in words


def test_the_client_takes_it_by_the_private_address_in_its_language(
    quote: Quote, cast: Cast
) -> None:
    secret = make_quotes.secret_of(quote, by=cast.dispatcher)
    address = reverse("faults:quote_answer_pdf", args=[secret])
    page = open_page(None, reverse("faults:quote_answer", args=[secret]) + "?lang=es")
    assert f"{address}?lang=es" in page.html
    answer = Client().get(f"{address}?lang=es")
    words = words_of(answer.content)
    assert squeezed("Lo que sabemos") in words
    assert THEIRS not in words.casefold()
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow, noarchive"


def test_a_wrong_secret_and_a_role_without_prices_get_nothing(quote: Quote, cast: Cast) -> None:
    assert Client().get(reverse("faults:quote_answer_pdf", args=["x" * 43])).status_code == 404
    address = reverse("faults:quote_pdf", args=[quote.ref])
    assert signed_in(cast.client_user).get(address).status_code == 403
    assert signed_in(cast.technician).get(address).status_code == 403


def test_many_in_a_minute_are_too_many(quote: Quote, cast: Cast) -> None:
    secret = make_quotes.secret_of(quote, by=cast.dispatcher)
    address = reverse("faults:quote_answer_pdf", args=[secret])
    statuses = [Client().get(address).status_code for _ in range(13)]
    assert statuses == [200] * 12 + [429]
    reset_limits()
