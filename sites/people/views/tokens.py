"""Tokens for programs: made, shown this one time, revoked; and the request that brings one."""

from collections.abc import Callable

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import SignedInRequest, asks_again, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.bearer import bearer_of
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import ApiToken
from sites.people.forms import TokenForm
from sites.people.services.tokens import make_token, revoke_token, token_by, tokens_for

API_ADDRESS = "/api/"


class TokenMiddleware:
    """Let a request below /api/ act for the user of its token, and for nobody without one.

    A session's cookie counts nothing there, so that no page of another site can make a browser
    that is signed in here send anything.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.path_info.startswith(API_ADDRESS):
            token = _token_of(request)
            request.user = AnonymousUser() if token is None else token.user
            request.token = token  # type: ignore[attr-defined]
        return self.get_response(request)


def _token_of(request: HttpRequest) -> ApiToken | None:
    secret = bearer_of(request)
    return token_by(secret, at=timezone.now()) if secret else None


@page_for(Action.EXPORT)
def tokens(request: SignedInRequest) -> HttpResponse:
    """One's own tokens; an owner of everything sees those of all people."""
    rows = tokens_for(request.user).order_by("revoked_at", "-made_at", "pk")
    now = timezone.now()
    return render(request, "sites/people/tokens.html", {"tokens": rows[:200], "now": now})


@asks_again
@page_for(Action.EXPORT)
def token_make(request: SignedInRequest) -> HttpResponse:
    """Make a token and show its secret; no redirect, because it is shown this one time."""
    form = TokenForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        try:
            secret = make_token(user=request.user, token=form.token(), at=timezone.now())
        except UnableToAct as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        else:
            made = {"secret": secret, "name": form.cleaned_data["name"]}
            response = render(request, "sites/people/token_made.html", made)
            response.headers["Cache-Control"] = "no-store"
            return response
    status = 422 if form.errors else 200
    return render(request, "sites/people/token_make.html", {"form": form}, status=status)


class TokenRevoke(VerbView[ApiToken]):
    """End a token."""

    verb = revoke_token
    takes = "token"
    heading, button = _("Revoke the token of %s"), _("Revoke it")
    lead = _("The program is refused from now on. A new token can be made at any time.")
    done = _("Revoked: nothing gets in by it any more.")

    def find(self) -> ApiToken:
        return find(tokens_for(self.user), pk=self.kwargs["pk"])

    def get_back(self) -> str:
        return reverse("sites:tokens")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), str(_("Tokens for programs")))]

    def get_named(self) -> Text:
        return self.row.name
