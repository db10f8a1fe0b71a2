"""One's own second factor and sign-ins, and the second step of signing in."""

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from sites.kernel.access import asks_again
from sites.kernel.lazily import lazily
from sites.kernel.links import is_ours
from sites.kernel.services.audit import note
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.limits import limited
from sites.models import Event, User
from sites.people.forms import CodeForm
from sites.people.queries import half_in_user
from sites.people.services.entering import ROW
from sites.people.services.second_factor import (
    Tried,
    codes_left,
    factor_of,
    has_codes,
    is_required,
    make_recovery_codes,
    new_key,
    remove_factor,
    set_up,
    try_code,
    uri_of,
)
from sites.people.services.sign_ins import end_sign_ins, sign_ins_of
from sites.people.views import passkeys

segno = lazily("segno")

KEY, HALF_IN = "door_new_key", "door_half_in"
HALF_IN_FOR_S = 600
BACKEND = "django.contrib.auth.backends.ModelBackend"


def enter(request: HttpRequest, user: User, *, onward: str, how: str) -> HttpResponse:
    """Sign in, note it, and go where the person wanted to."""
    login(request, user, backend=getattr(user, "backend", BACKEND))
    note(Event.SIGNED_IN, by=user, about=user, detail=how)
    return redirect(onward if is_ours(request, onward) else "sites:start")


def ask_code(request: HttpRequest, user: User, *, onward: str) -> HttpResponse:
    """Keep that the password was right, and lead to the second step."""
    request.session.cycle_key()
    at = timezone.now().timestamp()
    request.session[HALF_IN] = {"user": user.pk, "at": at, "onward": onward}
    return redirect("sites:sign_in_code")


def _sign_in_code(request: HttpRequest) -> HttpResponse:
    """Ask for the code, after the right password."""
    half, now = request.session.get(HALF_IN), timezone.now()
    if not half or not 0 <= now.timestamp() - half["at"] < HALF_IN_FOR_S:
        return redirect("sites:sign_in")
    user = half_in_user(half["user"])
    if user is None:
        return redirect("sites:sign_in")
    form = CodeForm(request.POST if "code" in request.POST else None)
    if passkeys.ANSWER in request.POST:
        tried = passkeys.tried(request, user, request.POST[passkeys.ANSWER])
        if tried.is_right:
            del request.session[HALF_IN]
            return enter(request, user, onward=half["onward"], how=tried.value)
        messages.error(request, _("This passkey does not let in. Try again, or enter a code."))
    if form.is_bound and form.is_valid():
        tried = try_code(user, form.cleaned_data["code"], at=now)
        if tried.is_right:
            del request.session[HALF_IN]
            return enter(request, user, onward=half["onward"], how=tried.value)
        form.add_error("code", _locked_words() if tried is Tried.LOCKED else _wrong_words())
    status = 422 if form.errors or passkeys.ANSWER in request.POST else 200
    context = {"form": form, "asked": passkeys.asked_of(request, user)}
    return render(request, "sites/account/sign_in_code.html", context, status=status)


sign_in_code = limited("code", "20/minute")(_sign_in_code)


def _wrong_words() -> str:
    return _(
        "This code does not let in. Each works once: wait for the next one, or use a recovery code."
    )


def _locked_words() -> str:
    return _("Too many wrong codes. Wait 15 minutes, or ask an owner to reset your second factor.")


@asks_again
@login_required
def second_factor(request: HttpRequest) -> HttpResponse:
    """Set up one's second factor; once there is one, new recovery codes or its end.

    Who finds a device open and unwatched must not lock its owner out: the password is asked first.
    """
    user, at = request.user, timezone.now()
    assert isinstance(user, User)
    does = request.POST.get("do", "")
    # Who has passkeys alone sees both forms on one page.
    to_set_up = CodeForm(request.POST if does == "set up" else None, auto_id="new_%s")
    form = CodeForm(request.POST or None) if does != "set up" else to_set_up
    if request.method == "POST" and form.is_valid():
        try:
            if does == "set up":
                key, code = request.session.get(KEY, ""), form.cleaned_data["code"]
                return _show_codes(request, set_up(user, key=key or new_key(), code=code, at=at))
            if not try_code(user, form.cleaned_data["code"], at=at).is_right:
                form.add_error("code", _wrong_words())
            elif does == "remove":
                remove_factor(user)
                messages.success(request, _("Your second factor is removed."))
                return redirect("sites:account")
            else:
                return _show_codes(request, make_recovery_codes(user, at=at))
        except UnableToAct as refusal:
            form.add_error(refusal.field, str(refusal))
    context: dict[str, object] = {
        "form": form if does != "set up" else CodeForm(),
        "to_set_up": to_set_up,
        "factor": factor_of(user),
        "is_required": is_required(user),
    }
    if not has_codes(user):
        key = request.session.setdefault(KEY, new_key())
        context |= {"key": key, "square": _square(uri_of(key, user))}
    context |= {"left": codes_left(user), "may_remove": not context["is_required"]}
    status = 422 if form.errors else 200
    response = render(request, "sites/account/second_factor.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _show_codes(request: HttpRequest, codes: list[str]) -> HttpResponse:
    request.session.pop(KEY, None)
    return passkeys.shown_once(request, codes)


def _square(uri: str) -> str:
    svg: str = segno.make(uri, error="m").svg_inline(scale=4, light="#fff", border=3)
    return mark_safe(svg)  # drawn by segno from our own key


@login_required
def sign_ins(request: HttpRequest) -> HttpResponse:
    """Where one is signed in."""
    user = request.user
    assert isinstance(user, User)
    rows = sign_ins_of(user, at=timezone.now())
    context = {"sign_ins": rows[:100], "here": request.session.get(ROW)}
    return render(request, "sites/account/sign_ins.html", context)


@require_POST
@login_required
def sign_ins_end(request: HttpRequest) -> HttpResponse:
    """End one sign-in, or all but this one."""
    user, which = request.user, request.POST.get("which", "")
    assert isinstance(user, User)
    here = request.session.get(ROW)
    only = int(which) if which.isdecimal() and len(which) < 18 else None
    if end_sign_ins(user, only=only, but=here):
        messages.success(request, _("Ended: that device has to sign in again."))
    return redirect("sites:sign_ins")
