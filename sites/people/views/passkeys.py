"""One's passkeys, and the asking for one in place of a code."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from sites.kernel.access import asks_again
from sites.kernel.services.verbs import UnableToAct
from sites.models import Passkey, User
from sites.people.forms import PasskeyForm
from sites.people.services.entering import LACKS
from sites.people.services.passkeys import (
    add_passkey,
    ask_to_make,
    ask_to_show,
    passkeys_of,
    remove_passkey,
    try_passkey,
)
from sites.people.services.second_factor import Tried

ANSWER = "passkey"
TO_MAKE, TO_SHOW = "door_passkey_to_make", "door_passkey_to_show"


def origin_of(request: HttpRequest) -> str:
    """Return scheme, host and port as the browser sees them."""
    return f"{request.scheme}://{request.get_host()}"


def asked_of(request: HttpRequest, user: User) -> dict[str, object] | None:
    """Return what the page lets the browser ask a passkey of this person, None without one."""
    asked = ask_to_show(user, origin=origin_of(request))
    if asked is None:
        return None
    request.session[TO_SHOW] = asked.kept
    return asked.options


def tried(request: HttpRequest, user: User, answer: str) -> Tried:
    """Say whether a passkey's answer lets in; what was asked is asked once."""
    kept = request.session.pop(TO_SHOW, None)
    return try_passkey(user, answer=answer, kept=kept, origin=origin_of(request), at=timezone.now())


@asks_again
@login_required
def passkeys(request: HttpRequest) -> HttpResponse:
    """List one's passkeys, add one, and remove one."""
    user = request.user
    assert isinstance(user, User)
    form = PasskeyForm(request.POST if ANSWER in request.POST else None)
    if form.is_bound and form.is_valid():
        try:
            codes = add_passkey(
                user,
                name=form.cleaned_data["name"],
                answer=form.cleaned_data[ANSWER],
                kept=request.session.pop(TO_MAKE, {}),
                origin=origin_of(request),
                at=timezone.now(),
            )
        except UnableToAct as refusal:
            form.add_error(refusal.field, str(refusal))
        else:
            request.session[LACKS] = False
            if codes:
                return shown_once(request, codes)
            messages.success(request, _("The passkey is kept."))
            return redirect("sites:passkeys")
    if request.method == "POST" and "remove" in request.POST:
        return _remove(request, user)
    asked = ask_to_make(user, origin=origin_of(request))
    request.session[TO_MAKE] = asked.kept
    context = {"form": form, "passkeys": passkeys_of(user), "asked": asked.options}
    status = 422 if form.errors else 200
    response = render(request, "sites/account/passkeys.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _remove(request: HttpRequest, user: User) -> HttpResponse:
    which = request.POST["remove"]
    key = int(which) if which.isdecimal() and len(which) < 18 else 0
    passkey = get_object_or_404(Passkey, pk=key, factor__user=user)
    try:
        remove_passkey(user, passkey)
        messages.success(request, _("The passkey is removed. Delete it on the device too."))
    except UnableToAct as refusal:
        messages.error(request, str(refusal))
    return redirect("sites:passkeys")


def shown_once(request: HttpRequest, codes: list[str]) -> HttpResponse:
    """Show new recovery codes, this one time."""
    request.session[LACKS] = False
    response = render(request, "sites/account/recovery_codes.html", {"codes": codes})
    response.headers["Cache-Control"] = "no-store"
    return response
