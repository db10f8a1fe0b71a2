"""A client's user who is signed in answers a quote that was sent, as by its private address."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from faults.cases.engines.stages import Stage
from faults.models import Authority, Quote, QuoteAnswer
from faults.quotes.services.links import revoke_link
from faults.quotes.services.shown import shown
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_prices, make_quotes
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

ANSWER = {"choice": "we dig", "name": "Ann Field"}


@pytest.fixture
def quote(cast: Cast, ours: Corner) -> Quote:
    """Our quote with one photo, which was sent."""
    make_prices.price_list()
    ours.fault.stations.update(stage=Stage.FOUND.value)
    make.break_found(fault=ours.fault, depth_in=18.0)
    photo = make.fault_photo(fault=ours.fault, caption="The place")
    made = make_quotes.quote(ours.fault, by=cast.dispatcher, photos=(photo,))
    make_quotes.secret_of(made, by=cast.dispatcher)
    return made


def address_of(quote: Quote, page: str = "quote_own_answer") -> str:
    return reverse(f"faults:{page}", args=[quote.ref])


def test_from_the_own_page_to_a_yes_that_names_who_was_signed_in(quote: Quote, cast: Cast) -> None:
    mine = open_page(cast.client_user, reverse("reports:mine"))
    assert address_of(quote) in mine.links.values()
    page = open_page(cast.client_user, address_of(quote))
    for each in shown(quote, today=make.TODAY).options:
        assert f"{each.total.gross:,.2f} USD" in page.words
    sheet = send(cast.client_user, address_of(quote), **ANSWER, up_to_amount="300")
    assert sheet.status == 200
    assert "Yes to “we dig and mend” by Ann Field on 2025-06-15" in sheet.panel("decided")
    kept = QuoteAnswer.objects.get()
    assert (kept.entered_by, kept.address) == (cast.client_user, "127.0.0.1")
    assert Authority.objects.get().up_to_amount == 300
    office = open_page(cast.dispatcher, reverse("faults:quote", args=[quote.ref]))
    assert f"signed in as {cast.client_user}, 127.0.0.1" in office.panel("answers")
    mine = open_page(cast.client_user, reverse("reports:mine"))
    assert address_of(quote) not in mine.links.values()
    assert "yes to “we dig and mend” by Ann Field on 2025-06-15" in mine.panel("answered")
    assert "Thank you for your answer" in sheet.words


def test_the_first_of_two_answers_counts(quote: Quote, cast: Cast) -> None:
    second = make.user(Role.CLIENT, client=quote.fault.property.client)
    send(cast.client_user, address_of(quote), choice="no", name="Ann")
    again = send(second, address_of(quote), **ANSWER)
    assert again.status == 422
    assert "It cannot be answered: it is answered already." in again.words
    assert QuoteAnswer.objects.get().kind == "no"


def test_the_form_is_filled_with_the_name_of_who_is_signed_in(quote: Quote) -> None:
    named = make.user(
        Role.CLIENT, client=quote.fault.property.client, first_name="Ivo", last_name="Reed"
    )
    assert open_page(named, address_of(quote)).value("name") == "Ivo Reed"


def test_another_site_cannot_answer_for_who_is_signed_in(quote: Quote, cast: Cast) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(cast.client_user)
    assert strict.post(address_of(quote), ANSWER).status_code == 403
    assert not QuoteAnswer.objects.exists()


def test_its_photo_and_its_pdf_open_for_who_may_answer(quote: Quote, cast: Cast) -> None:
    browser = Client()
    browser.force_login(cast.client_user)
    photo = reverse("faults:fault_photo_small", args=[quote.photos.get().ref])
    assert photo in browser.get(address_of(quote)).content.decode()
    assert browser.get(photo).status_code == 200
    pdf = browser.get(address_of(quote, "quote_own_answer_pdf"))
    assert (pdf.status_code, pdf.headers["Content-Type"]) == (200, "application/pdf")


@pytest.mark.parametrize("page", ["quote_own_answer", "quote_own_answer_pdf"])
def test_nobody_else_answers(quote: Quote, cast: Cast, theirs: Corner, page: str) -> None:
    def status(user: User) -> int:
        browser = Client()
        browser.force_login(user)
        return browser.get(address_of(quote, page)).status_code

    stranger = make.user(Role.CLIENT, client=theirs.fault.property.client)
    assert status(stranger) == 404
    assert [status(each) for each in (cast.dispatcher, cast.technician)] == [403, 403]


@pytest.mark.parametrize(("days", "status"), [(30, 200), (31, 404)])
def test_what_is_no_longer_valid_cannot_be_opened(
    quote: Quote, cast: Cast, monkeypatch: pytest.MonkeyPatch, days: int, status: int
) -> None:
    later = timezone.now() + timedelta(days=days)
    monkeypatch.setattr("faults.quotes.views.own_answers.timezone.now", lambda: later)
    assert open_page(cast.client_user, address_of(quote)).status == status


def test_what_was_not_sent_or_was_taken_back_is_nobodys_to_answer(quote: Quote, cast: Cast) -> None:
    revoke_link(quote=quote, at=timezone.now())
    browser = Client()
    browser.force_login(cast.client_user)
    assert browser.get(address_of(quote)).status_code == 404


def test_who_is_signed_in_reads_the_name_of_the_station(quote: Quote, cast: Cast) -> None:
    station = quote.fault.stations.get().station
    station.name = "North lawn"
    station.save()
    page = open_page(cast.client_user, address_of(quote))
    assert f"asks you about valve {station} North lawn." in page.words
