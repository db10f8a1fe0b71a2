"""Programs that are told: which there are, what was sent to each, and what can be done with it."""

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from reports.hooks.forms import ReceiverForm, filled
from reports.hooks.queries import deliveries_for, deliveries_of, receivers_for, with_counts
from reports.hooks.services.receivers import (
    change_receiver,
    renew_secret,
    send_again,
    send_test,
    set_up_receiver,
    switch_off_receiver,
    switch_on_receiver,
)
from reports.models import Delivery, Receiver
from sites.kernel.access import SignedInRequest, asks_again, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.verb_views import Crumbs, Text, VerbView

SOON = _(
    "It goes out with the next round: in a minute where a queue runs, else within a quarter of an "
    "hour. Then look below."
)


@page_for(Action.EXPORT)
def receivers(request: SignedInRequest) -> HttpResponse:
    """One's own programs; an owner of everything sees those of all people."""
    rows = with_counts(receivers_for(request.user)).order_by("off_at", "-made_at", "pk")
    return render(request, "reports/hooks/receivers.html", {"receivers": rows[:200]})


@page_for(Action.EXPORT)
def receiver(request: SignedInRequest, ref: str) -> HttpResponse:
    """What one program was told, what waits, and what was given up."""
    found = find(with_counts(receivers_for(request.user)), ref=ref)
    context = {"receiver": found, "deliveries": deliveries_of(found)}
    return render(request, "reports/hooks/receiver.html", context)


@asks_again
@page_for(Action.EXPORT)
def receiver_set_up(request: SignedInRequest) -> HttpResponse:
    """Set a program up and show its secret; no redirect, because it is shown this one time."""
    form = ReceiverForm(request.POST or None, user=request.user)
    if request.method == "POST" and form.is_valid():
        try:
            made, secret = set_up_receiver(user=request.user, facts=form.facts(), at=timezone.now())
        except UnableToAct as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        else:
            return _secret_shown(request, made, secret)
    status = 422 if form.errors else 200
    return render(request, "reports/hooks/set_up.html", {"form": form}, status=status)


@asks_again
@page_for(Action.EXPORT)
def receiver_secret(request: SignedInRequest, ref: str) -> HttpResponse:
    """Make a new secret and show it, this one time."""
    found = find(receivers_for(request.user), ref=ref)
    if request.method == "POST":
        return _secret_shown(request, found, _renewed(request, found))
    return render(request, "reports/hooks/new_secret.html", {"receiver": found})


def _renewed(request: SignedInRequest, found: Receiver) -> str:
    at_once = "at_once" in request.POST
    return renew_secret(receiver=found, at=timezone.now(), at_once=at_once)


def _secret_shown(request: SignedInRequest, made: Receiver, secret: str) -> HttpResponse:
    context = {"receiver": made, "secret": secret}
    response = render(request, "reports/hooks/secret.html", context)
    response.headers["Cache-Control"] = "no-store"
    return response


class ReceiverView(VerbView[Receiver]):
    """A page of one program."""

    takes = "receiver"

    def find(self) -> Receiver:
        return find(receivers_for(self.user), ref=self.kwargs["ref"])

    def get_back(self) -> str:
        return reverse("reports:receiver", args=[self.kwargs["ref"]])

    def get_crumbs(self) -> Crumbs:
        return [
            (reverse("reports:receivers"), _("Programs that are told")),
            (self.get_back(), self.get_named()),
        ]

    def get_named(self) -> Text:
        return self.row.name


class ReceiverChange(ReceiverView):
    """Change what is known of a program."""

    verb = change_receiver
    asks_again = True
    form_class = ReceiverForm
    heading = _("Change %s")

    def get_form(self) -> ReceiverForm:
        # What it is told of is limited by what its own user sees, not by that of who changes it.
        return ReceiverForm(self.posted, user=self.row.user, initial=filled(self.row))


class ReceiverOff(ReceiverView):
    """Tell a program nothing for now."""

    verb = switch_off_receiver
    heading, button = _("Switch off %s"), _("Switch it off")
    lead = _(
        "It is told nothing until it is switched on again; of what happens meanwhile it will not "
        "hear. What waits already is kept."
    )
    done = _("Switched off.")


class ReceiverOn(ReceiverView):
    """Tell a program again."""

    verb = switch_on_receiver
    asks_again = True
    heading, button = _("Switch on %s"), _("Switch it on")
    lead = _("What waits is sent first. What happened meanwhile it can ask for by the API.")
    done = _("Switched on.")


class ReceiverTest(ReceiverView):
    """Try whether a program hears."""

    verb = send_test
    heading, button = _("Send a test to %s"), _("Send a test")
    lead = _("It says that it is a test, and is signed as all else.")
    done = SOON

    def get_watched(self) -> list[Model]:
        return []


class DeliveryAgain(VerbView[Delivery]):
    """Send a message once more."""

    verb = send_again
    takes = "delivery"
    heading, button = _("Send again"), _("Send it again")
    lead = _("It goes out under the id that it has, so that the program knows it again.")
    done = SOON

    def find(self) -> Delivery:
        rows = deliveries_for(self.user)
        return find(rows, pk=self.kwargs["pk"], receiver__ref=self.kwargs["ref"])

    def get_watched(self) -> list[Model]:
        return []

    def get_back(self) -> str:
        return reverse("reports:receiver", args=[self.kwargs["ref"]])

    def get_crumbs(self) -> Crumbs:
        return [
            (reverse("reports:receivers"), _("Programs that are told")),
            (self.get_back(), self.row.receiver.name),
        ]
