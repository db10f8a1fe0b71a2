"""A client's user who is signed in answers a quote that was sent, without its private address."""

from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from faults.models import FaultPhoto, QuoteLink
from faults.quotes.services.waiting import link_to
from faults.quotes.views.answers import Opened, answer_page, answer_pdf
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action


@page_for(Action.ANSWER_QUOTES)
@require_http_methods(["GET", "HEAD", "POST"])
def own_answer(request: SignedInRequest, ref: str) -> HttpResponse:
    """The page that the private address shows, with who is signed in as who answers."""
    pdf = reverse("faults:quote_own_answer_pdf", args=[ref])
    return answer_page(request, Opened(_sent(request, ref), pdf, _picture, request.user))


@page_for(Action.ANSWER_QUOTES)
def own_answer_pdf(request: SignedInRequest, ref: str) -> HttpResponse:
    """The same as a PDF."""
    return answer_pdf(request, _sent(request, ref))


def _sent(request: SignedInRequest, ref: str) -> QuoteLink:
    link = link_to(request.user, ref, at=timezone.now())
    if link is None:
        raise Http404
    return link


def _picture(photo: FaultPhoto) -> str:
    return reverse("faults:fault_photo_small", args=[photo.ref])
