"""The client's own page: its properties, in plain words, without rates."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from faults.quotes.services.answer_words import answer_words
from faults.quotes.services.waiting import answered_for, waiting_for
from reports.off_central.services.plain import plain_properties
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action


@page_for(Action.SEE_OFF_CENTRAL)
def mine(request: SignedInRequest) -> HttpResponse:
    """Say for each property what does not run as it should, since when, and what is done."""
    at = timezone.now()
    context = {
        "places": plain_properties(request.user, at=at),
        "waiting": waiting_for(request.user, at=at),
        "answered": [(each, answer_words(each)) for each in answered_for(request.user, at=at)],
    }
    return render(request, "reports/mine.html", context)
