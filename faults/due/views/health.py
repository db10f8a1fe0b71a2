"""How the service runs: a page for the owner, a health check and numbers for monitoring."""

from django.conf import settings
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache

from faults.due.services.health import (
    is_well,
    mails_now,
    mails_that_may_be_tried_again,
    queue_now,
    rounds_now,
    sent_besides,
)
from faults.due.services.metrics import metrics_now
from faults.due.services.metrics_text import CONTENT_TYPE, as_text
from faults.due.services.outbox import try_again
from faults.models import OutgoingMail
from sites.backups.services.scheduled import backups_now
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.bearer import bearer_of, is_same
from sites.kernel.views.verb_views import Crumbs, Text, VerbView


@page_for(Action.SEE_HEALTH)
def health(request: SignedInRequest) -> HttpResponse:
    """Queue, workers, regular rounds and mails."""
    now = timezone.now()
    rounds = rounds_now(at=now)
    context = {
        "queue": queue_now(),
        "rounds": rounds,
        "has_run": any(one.began_at for one in rounds),
        "ran_ahead": any(one.ran_ahead for one in rounds),
        "mails": mails_now(),
        "besides": sent_besides(),
        "backups": backups_now(at=now),
    }
    return render(request, "faults/due/health.html", context)


class MailAgain(VerbView[OutgoingMail]):
    """Retry a mail that was given up."""

    verb = try_again
    takes = "mail"
    button = _("Try again")
    done = _("It will be tried again within a few minutes.")

    def find(self) -> OutgoingMail:
        return find(mails_that_may_be_tried_again(), pk=self.kwargs["pk"])

    def get_watched(self) -> list[Model]:
        return []

    def get_heading(self) -> Text:
        return _("Try a mail to %s again") % self.row.to

    def get_lead(self) -> Text:
        return _("What went wrong last: %s") % self.row.last_error

    def get_back(self) -> str:
        return reverse("faults:health")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Health"))]


@never_cache
def healthz(request: HttpRequest) -> HttpResponse:
    """Answer 200 where the database, and Redis if one is set, answer; 503 where not."""
    well = is_well()
    words = "ok\n" if well else "not well\n"
    return HttpResponse(words, status=200 if well else 503, content_type="text/plain")


@never_cache
def metrics(request: HttpRequest) -> HttpResponse:
    """Answer numbers to a program that brings METRICS_TOKEN; without that setting, 404.

    A session counts nothing here, and nobody is led to sign in: this is for machines alone.
    """
    if not settings.METRICS_TOKEN:
        raise Http404
    if not is_same(bearer_of(request), settings.METRICS_TOKEN):
        words = "Send the header Authorization: Bearer, and the value of METRICS_TOKEN.\n"
        refused = HttpResponse(words, status=401, content_type="text/plain")
        refused.headers["WWW-Authenticate"] = "Bearer"
        return refused
    return HttpResponse(as_text(metrics_now(at=timezone.now())), content_type=CONTENT_TYPE)
