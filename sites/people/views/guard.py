"""What stands between a signed-in device and the pages: ended sign-ins, and a missing factor."""

from collections.abc import Callable

from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.audit import at_hand
from sites.models import User
from sites.people.forms import ProofForm
from sites.people.services.entering import LACKS, is_fresh, keep_sign_in, prove, proven
from sites.people.services.second_factor import factor_of, lacks_factor
from sites.people.views import passkeys
from sites.people.views.tokens import API_ADDRESS

# What a phone recorded still comes in, so that nothing of a visit is lost while its user sets up.
PROOF, BY_PASSKEY, OPENED = "proof", "proof_by_passkey", "was_opened"
# Its own form asks for one, of who has a second factor.
ASKS_FOR_A_CODE = {"sites:second_factor"}
# Prices and what was earned, contacts, people and the log of what they did.
LEAVES_WITH_CARE = {Action.SEE_RATES, Action.SEE_CONTACTS, Action.MANAGE_PEOPLE}
OPEN_WITHOUT = {
    "sites:second_factor",
    "sites:passkeys",
    "sites:sign_out",
    "faults:sheet_items",
}


class DoorMiddleware:
    """End what was ended elsewhere; lead who has to set up a second factor to that page alone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with at_hand(request):
            user = request.user
            is_by_session = not request.path_info.startswith(API_ADDRESS)
            if is_by_session and isinstance(user, User) and not keep_sign_in(request, user):
                logout(request)
            return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: object, args: object, kwargs: object
    ) -> HttpResponse | None:
        """Lead to setting up a missing factor; ask again before what reaches far."""
        del args, kwargs
        user, found = request.user, request.resolver_match
        if request.path_info.startswith(API_ADDRESS) or not isinstance(user, User):
            return None
        if found is None:
            return None
        if request.session.get(LACKS) and found.view_name not in OPEN_WITHOUT:
            if lacks_factor(user):  # the rule may be gone meanwhile
                return redirect("sites:second_factor")
            request.session[LACKS] = False
        asks_again = reaches_far(request, view) or found.namespace == "admin"
        if found.view_name in ASKS_FOR_A_CODE and factor_of(user) is not None:
            return None
        return _ask_again(request, user) if asks_again and not is_fresh(request, user) else None


def reaches_far(request: HttpRequest, view: object) -> bool:
    """Return whether what is asked for needs the password or a code anew.

    Views that change people, prices and doors say so themselves (`asks_again`). A file of what
    only the office or an owner sees does too, on whichever page: it leaves the house whole.
    Plain lists do not: a dispatcher who takes the stations of the day along is not asked.
    """
    if "export" in request.GET and getattr(view, "asks_for", None) in LEAVES_WITH_CARE:
        return True
    asks = getattr(view, "asks_again", False)
    return bool(asks(request) if callable(asks) else asks)


def _onward(request: HttpRequest) -> HttpResponse | None:
    return redirect(request.get_full_path()) if OPENED in request.POST else None


def _ask_again(request: HttpRequest, user: User) -> HttpResponse | None:
    """Ask for the password or a code; what was sent already waits on that page, and goes on."""
    form = ProofForm(request.POST if PROOF in request.POST else None)
    if BY_PASSKEY in request.POST:
        if passkeys.tried(request, user, request.POST[BY_PASSKEY]).is_right:
            proven(request, user)
            return _onward(request)
        messages.error(request, _("This passkey does not let you on. Try again, or enter a code."))
    elif form.is_bound and form.is_valid():
        if prove(request, user, form.cleaned_data[PROOF]):
            return _onward(request)
        form.add_error(PROOF, _("This does not let you on. After six wrong tries it is locked."))
    own = {PROOF, BY_PASSKEY, OPENED, "csrfmiddlewaretoken"}
    sent = [(k, v) for k, values in request.POST.lists() if k not in own for v in values]
    was_opened = request.method != "POST" or OPENED in request.POST
    context = {"form": form, "sent": sent, "opened": OPENED if was_opened else ""}
    context["has_factor"] = factor_of(user) is not None
    context["asked"] = passkeys.asked_of(request, user)
    response = render(request, "sites/account/prove.html", context, status=403)
    response.headers["Cache-Control"] = "no-store"
    return response
