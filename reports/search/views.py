"""Search: one box for everything, on a page that also answers while the user types."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers

from reports.search.engines.asked import LONGEST
from reports.search.services.everything import find_everything
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.register.views.lists import wants_fragment


@page_for(Action.SEE_REGISTER)
def search(request: SignedInRequest) -> HttpResponse:
    """What the words find, whole or as the fragment for htmx."""
    text = request.GET.get("q", "")[:LONGEST]
    context = {"text": text, "groups": find_everything(request.user, text), "longest": LONGEST}
    template = "reports/_found.html" if wants_fragment(request) else "reports/search.html"
    response = render(request, template, context)
    patch_vary_headers(response, ["HX-Request", "HX-History-Restore-Request"])
    return response
