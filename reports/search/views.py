"""Search: one box for everything, on a page that also answers while the user types."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

from reports.search.engines.asked import LONGEST
from reports.search.services.commands import offers, place_at
from reports.search.services.everything import find_everything, places_of
from sites.kernel.access import SignedInRequest, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.wayfinding import all_pages
from sites.register.views.lists import wants_fragment


@page_for(Action.SEE_REGISTER)
def search(request: SignedInRequest) -> HttpResponse:
    """What the words find, whole or as the fragment for htmx."""
    text, ref = request.GET.get("q", "")[:LONGEST], request.GET.get("on", "")
    on = properties_for(request.user).filter(ref=ref).first() if ref else None
    groups = find_everything(request.user, text, on=on)
    context = {"text": text, "groups": groups, "longest": LONGEST, "on": on}
    context |= {"places": [] if on else places_of(groups)}
    if not text:
        context["listed"] = all_pages(request.user)
    template = "reports/_found.html" if wants_fragment(request) else "reports/search.html"
    response = render(request, template, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response


@page_for(Action.SEE_REGISTER)
def search_commands(request: SignedInRequest) -> HttpResponse:
    """The list of the command search, as a fragment."""
    text = request.GET.get("q", "")[:LONGEST]
    at = place_at(request.user, request.GET.get("from", ""))
    found = offers(request.user, text, at=at)
    count = sum(len(offer.options) for offer in found)
    context = {"text": text, "offers": found, "count": count}
    return render(request, "reports/_commands.html", context)
