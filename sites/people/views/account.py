"""Sign in and out, one's own settings, and passwords."""

from typing import Any

from axes.utils import reset
from django.contrib import messages
from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_required
from django.contrib.auth.forms import AuthenticationForm, SetPasswordForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import get_script_prefix, reverse_lazy
from django.utils.translation import gettext as _

from sites.kernel.access import actions_anywhere, stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.audit import note
from sites.kernel.services.wayfinding import first_page
from sites.kernel.views.limits import limited
from sites.models import Event, User
from sites.people.forms import AccountForm, SignInForm
from sites.people.services.entering import ROW
from sites.people.services.invitations import invited_by
from sites.people.services.second_factor import factor_of
from sites.people.services.sign_ins import end_sign_ins
from sites.people.services.telling import Changed, tell
from sites.people.views.doors import ask_code, enter


class _SignIn(auth.LoginView):
    """Who came without a wish, by the bare address, starts where their role's work starts."""

    def get_redirect_url(self) -> str:
        """Return the page that was asked for; the bare address asks for none."""
        asked = super().get_redirect_url()
        return "" if asked == get_script_prefix() else asked

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, or ask for the second factor first."""
        user = form.get_user()
        assert isinstance(user, User)
        onward = self.get_redirect_url()
        if factor_of(user) is None:
            return enter(self.request, user, onward=onward, how="password")
        return ask_code(self.request, user, onward=onward)


_sign_in = _SignIn.as_view(
    template_name="sites/account/sign_in.html",
    authentication_form=SignInForm,
    redirect_authenticated_user=True,
)
sign_in = limited("sign in", "20/minute")(_sign_in)


class _SignOut(auth.LogoutView):
    """Nothing that this person saw stays on the device, where the browser follows the header."""

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Sign out, and have caches and all that scripts kept thrown away."""
        if request.method == "POST" and isinstance(request.user, User):
            note(Event.SIGNED_OUT, about=request.user)
        response = super().dispatch(request, *args, **kwargs)
        if request.method == "POST":
            response["Clear-Site-Data"] = '"cache", "storage"'
        return response


sign_out = _SignOut.as_view()


class _PasswordChange(auth.PasswordChangeView):
    """This window stays signed in, all others are signed out, and the person is told by mail."""

    def form_valid(self, form: "SetPasswordForm[User]") -> HttpResponse:
        """Keep the new password."""
        response = super().form_valid(form)
        note(Event.PASSWORD, by=form.user, about=form.user)
        end_sign_ins(form.user, but=self.request.session.get(ROW))
        tell(form.user, Changed.PASSWORD)
        return response


password_change = _PasswordChange.as_view(
    template_name="sites/account/password_change.html",
    success_url=reverse_lazy("sites:password_changed"),
)
_password_reset = auth.PasswordResetView.as_view(
    template_name="sites/account/password_reset.html",
    email_template_name="sites/account/password_reset_mail.txt",
    subject_template_name="sites/account/password_reset_subject.txt",
    success_url=reverse_lazy("sites:password_reset_sent"),
)
password_reset = limited("password reset", "6/hour")(_password_reset)


class _NewPassword(auth.PasswordResetConfirmView):
    """Who holds the mailbox is let in again at once: the page of the lock promises that."""

    def form_valid(self, form: "SetPasswordForm[User]") -> HttpResponse:
        """Keep the new password, and open a name that wrong tries had locked."""
        response = super().form_valid(form)
        reset(username=form.user.get_username())
        note(Event.PASSWORD, about=form.user)
        end_sign_ins(form.user)
        tell(form.user, Changed.PASSWORD)
        return response


password_reset_confirm = _NewPassword.as_view(
    template_name="sites/account/password_reset_confirm.html",
    success_url=reverse_lazy("sites:sign_in"),
)


def _invited(request: HttpRequest, token: str) -> HttpResponse:
    """Set the first password, by the link of an invitation."""
    user = invited_by(token)
    form = SetPasswordForm(user, request.POST or None) if user else None
    if form is not None and request.method == "POST" and form.is_valid():
        form.save()
        note(Event.PASSWORD, about=form.user)
        messages.success(request, _("Your password is kept. Sign in with your e-mail and with it."))
        return redirect("sites:sign_in")
    context = {"form": form, "invited": user, "grants": user.grants.all() if user else []}
    status = 422 if form is not None and form.errors else 200
    response = render(request, "sites/account/invited.html", context, status=status)
    # The address is a secret: no page that is opened from here learns it.
    response["Referrer-Policy"] = "no-referrer"
    return response


invited = limited("invitation", "20/minute")(_invited)


def password_reset_sent(request: HttpRequest) -> HttpResponse:
    """Say the same whether or not the address is known."""
    return render(request, "sites/account/password_reset_sent.html")


@login_required
def password_changed(request: HttpRequest) -> HttpResponse:
    """Confirm, and go back to one's own settings."""
    messages.success(request, _("Your password is changed."))
    return redirect("sites:account")


@login_required
def start(request: HttpRequest) -> HttpResponse:
    """Lead to where the user's work starts; while nothing is loaded, to what says how to load."""
    user = request.user
    assert isinstance(user, User)
    if Action.LOAD_REGISTER in actions_anywhere(user) and not stations_for(user).exists():
        return redirect(get_script_prefix())
    return redirect(first_page(user))


@login_required
def account(request: HttpRequest) -> HttpResponse:
    """Show and change one's own name, e-mail, time zone and language."""
    user = request.user
    assert isinstance(user, User)
    before = user.email
    form = AccountForm(request.POST or None, instance=user)
    if request.method == "POST" and form.is_valid():
        form.save()
        if before != user.email:
            # To both: whoever reads the old one may have had no part in it.
            for address in filter(None, (before, user.email)):
                tell(user, Changed.ADDRESS, to=address)
        messages.success(request, _("Your settings are kept."))
        return redirect("sites:account")
    context = {"form": form, "grants": user.grants.select_related("client", "property")}
    return render(
        request, "sites/account/account.html", context, status=422 if form.errors else 200
    )


def _changes_the_address(request: HttpRequest) -> bool:
    """Whether it would move to another address where links that let in are mailed to."""
    typed = request.POST.get("email", "")
    return request.method == "POST" and typed != getattr(request.user, "email", typed)


account.asks_again = _changes_the_address  # type: ignore[attr-defined]
