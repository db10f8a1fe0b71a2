"""How the service runs: a page for the owner, and a health check for monitoring."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from faults.cases.views.common import posted
from faults.due.forms import NothingForm
from faults.due.services.health import (
    is_well,
    mails_now,
    mails_that_may_be_tried_again,
    queue_now,
    rounds_now,
)
from faults.due.services.outbox import try_again
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verbs import VerbPage, verb_page


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
    }
    return render(request, "faults/due/health.html", context)


@page_for(Action.SEE_HEALTH)
def mail_again(request: SignedInRequest, pk: int) -> HttpResponse:
    """Retry a mail that was given up."""
    mail = find(mails_that_may_be_tried_again(), pk=pk)

    def act(data: dict[str, object]) -> str:
        try_again(mail=mail, at=timezone.now())
        return _("It will be tried again within a few minutes.")

    page = VerbPage(
        heading=_("Try a mail to %s again") % mail.to,
        button=_("Try again"),
        back=reverse("faults:health"),
        watched=[],
        act=act,
        crumbs=[(reverse("faults:health"), _("Health"))],
        lead=_("What went wrong last: %s") % mail.last_error,
    )
    return verb_page(request, NothingForm(posted(request)), page)


@never_cache
def healthz(request: HttpRequest) -> HttpResponse:
    """Answer 200 where the database, and Redis if one is set, answer; 503 where not."""
    well = is_well()
    words = "ok\n" if well else "not well\n"
    return HttpResponse(words, status=200 if well else 503, content_type="text/plain")
