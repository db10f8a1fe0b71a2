"""Quotes in the office: made from the fault, read side by side, withdrawn."""

from collections.abc import Sequence
from functools import cached_property
from typing import Any

from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.access import quotes_for
from faults.cases.views.common import FaultView, OfFaultView, crumbs_of
from faults.models import Fault, Quote, QuotePurpose
from faults.prices.engines.pricing import Price
from faults.prices.services.holding import prices_at
from faults.quotes.forms.making import DigQuoteForm, SearchQuoteForm, material_initial
from faults.quotes.queries import with_options
from faults.quotes.services.making import make_quote, withdraw_quote
from faults.quotes.services.prefilled import prefilled, search_minutes
from faults.quotes.services.shown import shown
from sites.kernel.access import SignedInRequest, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_views import Text
from sites.models import today_at


@page_for(Action.SEE_RATES)
def quote(request: SignedInRequest, ref: str) -> HttpResponse:
    """One version of a quote, its options side by side."""
    one = find(with_options(quotes_for(request.user)), ref=ref)
    place = one.fault.property
    context = {
        "quote": one,
        "place": place,
        "shown": shown(one, today=today_at(place)),
        "crumbs": crumbs_of(one.fault),
        "may_ask": may(request.user, Action.ASK_CLIENT, place),
    }
    return render(request, "faults/quotes/quote.html", context)


class QuoteAdd(FaultView):
    """Make the next version of a fault's quote."""

    verb = make_quote
    template_name = "faults/quotes/make.html"
    button = _("Make this quote")

    def find(self) -> Fault:
        if self.kwargs["purpose"] not in QuotePurpose.values:
            raise Http404
        return super().find()

    @property
    def purpose(self) -> str:
        """What is quoted, as the address names it."""
        return str(self.kwargs["purpose"])

    @cached_property
    def materials(self) -> list[Price]:
        """The materials that have a price here."""
        return prices_at(self.row.property, self.today).materials

    def get_form(self) -> SearchQuoteForm | DigQuoteForm:
        place = self.row.property
        start = prefilled(self.row, self.purpose, at=timezone.now())
        if self.purpose == QuotePurpose.DIG:
            start |= material_initial(start, self.materials)
            return DigQuoteForm(self.posted, place=place, materials=self.materials, initial=start)
        return SearchQuoteForm(self.posted, place=place, search_min=self.search_min, initial=start)

    @cached_property
    def search_min(self) -> tuple[float, float] | None:
        """Minutes of the search: most likely, and nine times of ten at most."""
        found = search_minutes(self.row, today=self.today)
        return (found.most_likely, found.nine_of_ten) if found else None

    def get_watched(self) -> Sequence[Model]:
        return [self.row]

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        return {**super().arguments(data), "purpose": self.purpose}

    def get_heading(self) -> Text:
        is_dig = self.purpose == QuotePurpose.DIG
        return _("%s: quote the dig and mend") if is_dig else _("%s: quote the search")

    def get_lead(self) -> Text:
        if self.purpose == QuotePurpose.DIG:
            return _(
                "Hours of digging and filling follow from the hole. Each option is priced from "
                "the price list; empty is none."
            )
        if self.search_min is None:
            return _("How long the search takes is not known: its wire cannot be searched along.")
        likely, nine = (f"{minutes / 60:.1f}" for minutes in self.search_min)
        words = {"likely": likely, "nine": nine}
        return str(
            _("A search here most likely takes %(likely)s h, nine times of ten under %(nine)s h.")
            % words
        )

    def get_caution(self) -> Text:
        if self.purpose != QuotePurpose.DIG:
            return ""
        return _("Before anybody digs: have underground utilities marked, and keep to local codes.")

    def get_done(self) -> Text:
        return str(_("Version %s is made. Read it, then send it.") % self.result.version)

    def get_after(self) -> str:
        return reverse("faults:quote", args=[self.result.ref])


class QuoteView(OfFaultView[Quote]):
    """A verb on a quote; the page leads back to the quote."""

    takes = "quote"

    @property
    def fault(self) -> Fault:
        return self.row.fault

    def find(self) -> Quote:
        rows = quotes_for(self.user, self.may_do).select_related("fault__property")
        return find(rows, ref=self.kwargs["ref"])

    def get_named(self) -> object:
        return self.row

    def get_back(self) -> str:
        return reverse("faults:quote", args=[self.row.ref])


class QuoteWithdraw(QuoteView):
    """End a quote."""

    verb = withdraw_quote
    form_class = WhyForm
    heading, button = _("Quote %s: withdraw it"), _("Withdraw it")
    done = _("Withdrawn: nobody can answer it any more.")
