"""The private page on which a client answers a quote: no account, and nothing else is shown.

Programs that look at mails open every address, so opening one changes nothing: only the button
decides. The secret in the address is what lets somebody in, so the form needs no cookie.
"""

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone, translation
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from faults.models import FaultPhoto, QuoteLink
from faults.quotes.forms.answering import AnswerForm
from faults.quotes.queries import decision_of, link_with_options, photos_shown, stations_of
from faults.quotes.services.answer_words import answer_words
from faults.quotes.services.answering import answer_quote
from faults.quotes.services.links import link_by
from faults.quotes.services.printed import quote_pdf
from faults.quotes.services.shown import Shown, depth_words, shown
from faults.quotes.services.way import way_of
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.limits import limited
from sites.kernel.views.pdf import pdf_response
from sites.kernel.views.pictures import picture_response
from sites.models import User, today_at
from sites.register.services.photos import small_copy

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]
LANGUAGES = ("en", "es")
# Nobody keeps it, nobody lists it, and no other site learns its address.
PRIVATE = {
    "Cache-Control": "no-store, private",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Referrer-Policy": "no-referrer",
}


@dataclass(frozen=True)
class Opened:
    """A quote that is open to be answered: through which link, and where its PDF and photos are.

    `by` is the client's user who is signed in; None = who has the private address.
    """

    link: QuoteLink
    pdf: str
    picture: Callable[[FaultPhoto], str]
    by: User | None = None


def private(view: View[P]) -> View[P]:
    """Set the headers of a page that belongs to who has its address."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        try:
            response = view(request, *args, **kwargs)
        except Http404:
            response = render(request, "faults/quotes/no_answer.html", status=404)
        for name, value in PRIVATE.items():
            response.headers[name] = value
        return response

    return cast("View[P]", guarded)


def _opened(secret: str) -> QuoteLink:
    link = link_by(secret, at=timezone.now())
    if link is None:
        raise Http404
    return link


def in_language(request: HttpRequest) -> AbstractContextManager[None]:
    """Read the page in the language that its address asks for."""
    wanted = request.GET.get("lang", "")
    language = wanted if wanted in LANGUAGES else translation.get_language() or "en"
    return translation.override(language)


@require_http_methods(["GET", "HEAD", "POST"])
def _quote_answer(request: HttpRequest, secret: str) -> HttpResponse:
    """Show the quote; a sent form answers it."""
    pdf = reverse("faults:quote_answer_pdf", args=[secret])

    def picture(photo: FaultPhoto) -> str:
        return reverse("faults:quote_photo", args=[secret, photo.ref])

    return answer_page(request, Opened(_opened(secret), pdf, picture))


def answer_page(request: HttpRequest, opened: Opened) -> HttpResponse:
    """Show a quote that was sent; a sent form answers it."""
    link = link_with_options(opened.link)
    with in_language(request):
        quote = link.quote
        read = shown(quote, today=today_at(quote.fault.property))
        is_sent = request.method == "POST"
        sent = (request.POST, request.FILES) if is_sent else (None, None)
        name = opened.by.get_full_name() if opened.by else ""
        form = AnswerForm(*sent, quote=quote, options=read.options, initial={"name": name})
        if is_sent and form.is_valid():
            try:
                _answer(request, opened, form)
            except UnableToAct as refusal:
                form.refuse(refusal)
            else:
                return HttpResponseRedirect(request.get_full_path())
        return _page(request, opened, read, form)


def _answer(request: HttpRequest, opened: Opened, form: AnswerForm) -> None:
    link = opened.link
    assert link.made_by is not None
    answer_quote(
        quote=link.quote,
        said=form.said(),
        by=link.made_by,
        at=timezone.now(),
        link=link,
        address=request.META.get("REMOTE_ADDR") or None,
        signed_in=opened.by,
    )


def _page(request: HttpRequest, opened: Opened, read: Shown, form: AnswerForm) -> HttpResponse:
    link = opened.link
    quote = link.quote
    decision = decision_of(quote)
    questions = quote.answers.filter(kind="question", link=link).order_by("pk")
    context = {
        "quote": quote,
        "shown": read,
        "form": form,
        "asked_by": link.made_by or quote.made_by or "",
        "stations": stations_of(quote, by_name=opened.by is not None),
        "decision": answer_words(decision) if decision else "",
        "questions": questions,
        "photos": [(photo, opened.picture(photo)) for photo in photos_shown(quote)],
        "way": way_of(quote),
        "pdf": opened.pdf,
        "is_signed_in": opened.by is not None,
        "language": translation.get_language(),
        "depth_words": depth_words(quote),
    }
    status = 422 if form.errors else 200
    return render(request, "faults/quotes/answer.html", context, status=status)


@require_http_methods(["GET", "HEAD"])
def _quote_photo(request: HttpRequest, secret: str, ref: str) -> HttpResponseBase:
    """One of the photos that the office chose for the quote."""
    del request
    photo = photos_shown(_opened(secret).quote).filter(ref=ref).first()
    if photo is None:
        raise Http404
    return picture_response(photo.file, small_copy)


@require_http_methods(["GET", "HEAD"])
def _quote_answer_pdf(request: HttpRequest, secret: str) -> HttpResponse:
    """The quote as a PDF, in the language of the page."""
    return answer_pdf(request, _opened(secret))


def answer_pdf(request: HttpRequest, opened: QuoteLink) -> HttpResponse:
    """The quote as a PDF, as who may answer it reads it."""
    link = link_with_options(opened)
    at = timezone.now()
    with in_language(request):
        read = shown(link.quote, today=today_at(link.quote.fault.property, at))
        return pdf_response(quote_pdf(link.quote, read, at=at), f"quote-{link.quote.version}")


# A page and its photos are a handful of requests; a guess is one.
_LIMIT, _METHODS = "40/minute", ("GET", "HEAD", "POST")
quote_answer = csrf_exempt(private(limited("quote", _LIMIT, methods=_METHODS)(_quote_answer)))
quote_photo = private(limited("quote photo", "120/minute", methods=_METHODS)(_quote_photo))
# Setting a PDF takes more than reading a page.
quote_answer_pdf = private(limited("quote pdf", "12/minute", methods=_METHODS)(_quote_answer_pdf))
