"""The private page: opened by programs without harm, answered once, and nothing else is shown."""

import os
import secrets
from datetime import timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from faults.cases.engines.stages import Stage
from faults.models import Asked, Authority, FollowUp, Quote, QuoteAnswer, QuoteLink
from faults.quotes.forms.answering import AnswerForm
from sites.kernel.views.limits import reset_limits
from tests import make, make_prices, make_quotes
from tests.cast import THEIRS, Cast, Corner
from tests.services.issued.reading import squeezed, words_of
from tests.web.pages import Sheet, open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

ANSWER = {"choice": "we dig", "name": "Ann Field"}


@pytest.fixture
def quote(cast: Cast, ours: Corner) -> Quote:
    """Our quote, with one photo that the client may see and one that is hidden."""
    make_prices.price_list()
    ours.fault.stations.update(stage=Stage.FOUND.value)
    make.break_found(fault=ours.fault, depth_in=18.0)
    shown, hidden = (
        make.fault_photo(fault=ours.fault, caption=f"{word} picture") for word in ("shown", "gone")
    )
    made = make_quotes.quote(ours.fault, by=cast.dispatcher, photos=(shown, hidden))
    hidden.hidden_on = make.TODAY
    hidden.save()
    return made


@pytest.fixture
def address(cast: Cast, quote: Quote) -> str:
    """The private address."""
    secret = make_quotes.secret_of(quote, by=cast.dispatcher)
    return reverse("faults:quote_answer", args=[secret])


def test_a_yes_without_an_account_reaches_the_office(
    address: str, quote: Quote, cast: Cast
) -> None:
    sheet = send(None, address, **ANSWER, up_to_amount="300")
    assert sheet.status == 200
    said = "Yes to “we dig and mend” by Ann Field on 2025-06-15, up to 300.00 USD before tax."
    assert said in sheet.panel("decided")
    assert sheet.tree.find("form") == []
    assert Authority.objects.get().up_to_amount == 300
    fault = open_page(cast.dispatcher, reverse("faults:fault", args=[quote.fault.ref]))
    assert "yes to “we dig and mend” by Ann Field" in fault.rows("quotes")[0][3]
    office = open_page(cast.dispatcher, reverse("faults:quote", args=[quote.ref]))
    assert "by the link, 127.0.0.1" in office.panel("answers")


def rows() -> list[int]:
    return [
        each.objects.count() for each in (QuoteAnswer, Authority, Asked, FollowUp, QuoteLink)
    ] + [QuoteAnswer.history.count(), Asked.history.count(), QuoteLink.history.count()]


def test_programs_that_open_the_address_decide_nothing(address: str) -> None:
    before, browser = rows(), Client()
    for _ in range(3):
        page = f"{address}?choice=we+dig&name=Ann"
        assert browser.get(page).status_code == 200
        assert browser.head(page).status_code == 200
        assert browser.options(page).status_code == 405
    assert rows() == before


def test_it_is_kept_by_nobody_and_listed_nowhere(address: str) -> None:
    for answer in (Client().get(address), Client().get(address[:-3] + "xx/")):
        assert answer.headers["Cache-Control"] == "no-store, private"
        assert "noindex" in answer.headers["X-Robots-Tag"]
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert answer.cookies == {}


def test_the_form_needs_no_cookie(address: str) -> None:
    strict = Client(enforce_csrf_checks=True)
    assert strict.post(address, {**ANSWER}).status_code == 302
    assert QuoteAnswer.objects.get().name == "Ann Field"


def test_it_is_answered_once_and_again_only_after_the_office_opens_it(
    address: str, quote: Quote, cast: Cast
) -> None:
    send(None, address, choice="no", name="Ann", words="too dear")
    again = send(None, address, **ANSWER)
    assert again.status == 422
    assert "It cannot be answered: it is answered already." in again.words
    assert QuoteAnswer.objects.count() == 1
    reopen = reverse("faults:quote_reopen", args=[quote.ref])
    done = send(cast.dispatcher, reopen, why="they called")
    assert done.status == 200
    assert "Your answer is kept" in send(None, address, **ANSWER).words
    assert QuoteAnswer.objects.count() == 2


def test_what_is_missing_is_said_and_nothing_typed_is_lost(address: str) -> None:
    sheet = send(None, address, choice="question", name="Ann", also_down="pond pump")
    assert sheet.status == 422
    assert sheet.errors == ["What is the question?"]
    assert sheet.value("also_down") == "pond pump"
    assert send(None, address, name="Ann").errors == ["This field is required."]
    assert not QuoteAnswer.objects.exists()


def gone(sheet: Sheet) -> bool:
    return sheet.status == 404 and "This address does not work" in sheet.words


def test_revoked_expired_and_withdrawn_show_nothing_of_the_quote(
    address: str, quote: Quote, cast: Cast
) -> None:
    assert not gone(open_page(None, address))
    QuoteLink.objects.update(expires_at=timezone.now() + timedelta(microseconds=1))
    QuoteLink.objects.update(made_at=timezone.now() - timedelta(days=1), expires_at=timezone.now())
    assert gone(open_page(None, address))
    QuoteLink.objects.update(expires_at=timezone.now() + timedelta(days=1))
    send(cast.dispatcher, reverse("faults:quote_withdraw", args=[quote.ref]), why="wrong")
    sheet = open_page(None, address)
    assert "It cannot be answered now: withdrawn." in sheet.words
    assert send(None, address, **ANSWER).status == 422
    send(cast.dispatcher, reverse("faults:quote_revoke", args=[quote.ref]))
    assert gone(open_page(None, address))
    assert gone(send(None, address, **ANSWER))
    assert not Authority.objects.exists()


def test_guesses_are_refused_and_slowed(quote: Quote) -> None:
    browser, answers = Client(), []
    # The long run guesses 10,000 times.
    for _ in range(int(os.environ.get("LINK_GUESSES", "60"))):
        guess = reverse("faults:quote_answer", args=[secrets.token_urlsafe(24)])
        answers.append(browser.get(guess).status_code)
    assert set(answers) == {404, 429}
    assert answers[:40] == [404] * 40
    assert set(answers[40:]) == {429}


def test_nothing_else_of_the_property_is_shown(
    address: str, quote: Quote, ours: Corner, theirs: Corner
) -> None:
    sheet = open_page(None, address)
    fault = ours.fault
    for secret in (
        ours.property.address,
        ours.property.notes,
        fault.key,
        fault.summary,
        ours.off_central.name,
        ours.controller.name,
        THEIRS,
        "gone picture",
    ):
        assert secret
        assert secret not in sheet.html
    assert "shown picture" in sheet.html
    pdf = address + "pdf/?lang=en"
    assert set(sheet.links.values()) == {"?lang=es", pdf}
    words = words_of(Client().get(pdf).content).casefold()
    for secret in (ours.property.address, fault.key, fault.summary, ours.controller.name, THEIRS):
        assert squeezed(secret).casefold() not in words


def test_only_the_chosen_photos_open_and_only_by_the_address(
    address: str, quote: Quote, ours: Corner
) -> None:
    other = make.fault_photo(fault=ours.fault)
    shown, hidden = quote.photos.order_by("pk")
    secret = address.rstrip("/").rpartition("/")[2]

    def status(secret: str, ref: str) -> int:
        return Client().get(reverse("faults:quote_photo", args=[secret, ref])).status_code

    assert status(secret, shown.ref) == 200
    assert [status(secret, each.ref) for each in (hidden, other)] == [404, 404]
    assert status("x" * 32, shown.ref) == 404


def test_it_reads_in_spanish_and_stays_so_when_sent(address: str, cast: Cast) -> None:
    sheet = open_page(None, f"{address}?lang=es")
    assert '<html lang="es">' in sheet.html
    assert "excavamos y reparamos nosotros" in sheet.words.casefold()
    done = send(None, f"{address}?lang=es", **ANSWER)
    assert '<html lang="es">' in done.html
    # What the office keeps is in the office's language.
    assert Asked.objects.get().notes == "we dig and mend"


def test_the_address_is_shown_once_and_kept_nowhere(cast: Cast, quote: Quote) -> None:
    sheet = send(cast.dispatcher, reverse("faults:quote_send", args=[quote.ref]), sent_to="Ann")
    (field,) = sheet.tree.find("input", id="address")
    shown = field.attributes["value"]
    assert "/answer/" in shown
    assert sheet.response.headers["Cache-Control"] == "no-store"
    reset_limits()
    assert open_page(None, urlsplit(shown).path).status == 200
    page = open_page(cast.dispatcher, reverse("faults:quote", args=[quote.ref]))
    assert "Sent to Ann" in page.words
    assert "/answer/" not in page.html


def test_answered_by_telephone_asks_the_same_and_does_the_same(cast: Cast, quote: Quote) -> None:
    url: Any = reverse("faults:quote_telephone", args=[quote.ref])
    page = open_page(cast.dispatcher, url)
    assert "We dig and mend" in page.words
    assert "call the one-call centre" in page.words
    done = send(cast.dispatcher, url, **ANSWER, words="only mornings")
    assert "by telephone, dora" in done.panel("answers")
    assert quote.fault.stations.get().stage == Stage.AGREED.value
    for person in (cast.technician, cast.client_user):
        assert open_page(person, url).status == 403


def test_it_says_who_asks_and_about_which_station(
    address: str, quote: Quote, cast: Cast, ours: Corner
) -> None:
    station = ours.fault.stations.get().station
    words = open_page(None, address).words
    assert f"{cast.dispatcher} asks you about valve {station.number}." in words
    # The reason may as well be a valve or its coil.
    quote.purpose = "search"
    quote.save()
    heading = open_page(None, address).words
    assert "Your irrigation has a fault: may we look for it?" in heading


def test_the_name_is_asked_first_and_marked_as_needed(address: str, quote: Quote) -> None:
    form = AnswerForm(None, quote=quote, options=[])
    assert (form.others()[0].name, form.others()[0].label) == ("name", "Your name (needed)")
    assert [field.name for field in form.others() if field.field.required] == ["name"]
    assert "Your name (needed)" in open_page(None, address).words
