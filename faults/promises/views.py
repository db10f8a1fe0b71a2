"""Promises: all of them with the share kept, one with its words, and the form that gives one."""

from datetime import datetime
from functools import cached_property
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.access import promises_for
from faults.cases.views.common import FaultView, crumbs_of
from faults.promises.forms import PromiseForm
from faults.promises.services.looking_back import tried_on_finished
from faults.promises.services.promising import Offer, offers_of, promise_a_day
from faults.promises.services.standing import in_order, is_kept, is_over, shares_of
from faults.promises.services.words import letters, share_words, would_words
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Text

MOST_LISTED = 200
_SAID_AT_REPORT = _("Said on the day of the report")
_SAID_AT_PLAN = _("Said when the first visit was planned")


@page_for(Action.SEE_WORK)
def promises(request: SignedInRequest) -> HttpResponse:
    """Every promise, and which share was kept; with `?tried=1` how the words would have held for
    faults that are over, which takes longer."""
    at = timezone.now()
    tried = tried_on_finished(at=at) if request.GET.get("tried") else ()
    rows = list(in_order(promises_for(request.user)))
    context = {
        "rows": [(row, is_kept(row, at=at), is_over(row)) for row in rows[:MOST_LISTED]],
        "shares": [share_words(each) for each in shares_of(rows, at=at)],
        "more": max(0, len(rows) - MOST_LISTED),
        "tried": [
            (words, each, [would_words(share) for share in each.shares])
            for words, each in zip((_SAID_AT_REPORT, _SAID_AT_PLAN), tried, strict=False)
        ],
    }
    return render(request, "faults/promises/promises.html", context)


@page_for(Action.SEE_WORK)
def promise(request: SignedInRequest, ref: str) -> HttpResponse:
    """One promise, and its words ready to send."""
    one = find(in_order(promises_for(request.user)), ref=ref)
    context = {
        "one": one,
        "crumbs": crumbs_of(one.fault),
        "kept": is_kept(one, at=timezone.now()),
        "over": is_over(one),
        "letters": letters(one),
    }
    return render(request, "faults/promises/promise.html", context)


class PromiseADay(FaultView):
    """Promise a day by which a fault is over."""

    verb = promise_a_day
    form_class = PromiseForm
    heading, button = _("%s: promise a day"), _("Keep this promise")
    done = _("Kept. Its words are ready to send below.")

    @cached_property
    def moment(self) -> datetime:
        """When the page is asked for."""
        return timezone.now()

    @cached_property
    def offers(self) -> list[Offer]:
        """The days that the plan offers now."""
        return offers_of(self.row, today=self.today, at=self.moment)

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "offers": self.offers}

    def get_initial(self) -> dict[str, Any]:
        return {"said_to": self.row.caller}

    def get_lead(self) -> Text:
        if not self.offers:
            return _("The plan offers no day within a year. Plan a visit first.")
        return _(
            "The days come from the visits that are planned, what waits, the minutes of the search "
            "and what the company's own faults took so far. The promise is kept as it is given."
        )

    def get_after(self) -> str:
        return reverse("faults:promise", args=[self.result.ref])
