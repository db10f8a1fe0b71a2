"""Quotes in the office: made from the fault, read side by side, withdrawn."""

from collections.abc import Sequence
from functools import cached_property
from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.db import transaction
from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.access import quotes_for
from faults.cases.queries import approvers_of, photos_of
from faults.cases.views.common import FaultView, OfFaultView, crumbs_of
from faults.locating.services.minutes import search_minutes
from faults.models import Fault, FaultPhoto, Quote, QuotePurpose
from faults.prices.engines.pricing import Price
from faults.prices.services.holding import prices_at
from faults.quotes.forms.answering import SendForm, TelephoneForm
from faults.quotes.forms.making import DigQuoteForm, SearchQuoteForm, material_initial
from faults.quotes.queries import answers_of, photos_shown, with_options
from faults.quotes.services.answer_words import answer_words
from faults.quotes.services.answering import answer_quote, reopen_quote
from faults.quotes.services.links import link_in_force, revoke_link, send_quote
from faults.quotes.services.making import make_quote, withdraw_quote
from faults.quotes.services.prefilled import prefilled
from faults.quotes.services.printed import quote_pdf
from faults.quotes.services.shown import Shown, shown
from faults.quotes.services.staying import stays_words, what_stands
from faults.quotes.services.way import way_of
from sites.kernel.access import SignedInRequest, find, may, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.sent_forms import SentBefore, digest_of, key_of, note_outcome, take_once
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.pdf import pdf_response
from sites.kernel.views.verb_views import Text
from sites.kernel.views.verbs import sent_before
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
        "link": link_in_force(one),
        "answers": [(each, answer_words(each)) for each in answers_of(one)],
        "photos": photos_shown(one),
        "way": way_of(one),
    }
    return render(request, "faults/quotes/quote.html", context)


@page_for(Action.SEE_RATES)
def quote_pdf_file(request: SignedInRequest, ref: str) -> HttpResponse:
    """The same as a PDF, in the language of who asks."""
    one = find(with_options(quotes_for(request.user)), ref=ref)
    at = timezone.now()
    read = shown(one, today=today_at(one.fault.property, at))
    return pdf_response(
        quote_pdf(one, read, at=at), f"quote-{one.fault.property.code}-{one.version}"
    )


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

    @cached_property
    def photos(self) -> list[FaultPhoto]:
        """The photos that may be shown to the client."""
        return [photo for photo in photos_of(self.row) if photo.hidden_on is None]

    def get_form(self) -> SearchQuoteForm | DigQuoteForm:
        place = self.row.property
        start = prefilled(self.row, self.purpose, at=timezone.now())
        stays = stays_words(what_stands(self.row, today=self.today))
        if self.purpose == QuotePurpose.DIG:
            start |= material_initial(start, self.materials)
            return DigQuoteForm(
                self.posted,
                place=place,
                stays=stays,
                materials=self.materials,
                photos=self.photos,
                initial=start,
            )
        return SearchQuoteForm(
            self.posted, place=place, stays=stays, search_min=self.search_min, initial=start
        )

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


class QuoteRevoke(QuoteView):
    """End the private link."""

    verb = revoke_link
    heading, button = _("Quote %s: end the link"), _("End it")
    lead = _("Nobody reads or answers the quote by that address any more.")
    done = _("Ended. Send it again for another address.")


class QuoteTelephone(QuoteView):
    """Enter an answer that was given on the telephone."""

    verb = answer_quote
    form_class = TelephoneForm
    template_name = "faults/quotes/telephone.html"
    heading, button = _("Quote %s: answered by telephone"), _("Keep this answer")
    done = _("The answer is kept.")

    def get_form(self) -> TelephoneForm:
        return TelephoneForm(self.posted, quote=self.row, options=self.read.options)

    @cached_property
    def read(self) -> Shown:
        """The quote as it reads."""
        row = with_options(quotes_for(self.user, self.may_do)).get(pk=self.row.pk)
        return shown(row, today=self.today)

    def get_caution(self) -> Text:
        return " ".join(self.read.cautions)


class QuoteReopen(QuoteView):
    """Let the client answer once more."""

    verb = reopen_quote
    form_class = WhyForm
    heading, button = _("Quote %s: open it again"), _("Open it again")
    done = _("Open: it can be answered once more, until it is no longer valid.")


@page_for(Action.ASK_CLIENT)
def quote_send(request: SignedInRequest, ref: str) -> HttpResponse:
    """Make the private address and show it, this one time: it is kept nowhere."""
    rows = quotes_for(request.user, Action.ASK_CLIENT).select_related("fault__property")
    one = find(rows, ref=ref)
    approvers = approvers_of(one.fault.property)
    start = {"language": request.user.language}
    if approvers:
        first = approvers[0]
        start = {
            "sent_to": first.name,
            "mail_to": first.email,
            "language": first.language or request.user.language,
        }
    form = SendForm(request.POST if request.method == "POST" else None, initial=start)
    context: dict[str, Any] = {"quote": one, "form": form, "crumbs": crumbs_of(one.fault)}
    if request.method == "POST" and form.is_valid():
        try:
            address = _sent_once(request, one, form.cleaned_data)
        except SentBefore as before:
            messages.info(request, sent_before(before.row))
            return redirect("faults:quote", one.ref)
        except UnableToAct as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        else:
            context |= {"address": address, "mail_to": form.cleaned_data["mail_to"]}
            response = render(request, "faults/quotes/sent.html", context)
            response.headers["Cache-Control"] = "no-store"
            return response
    status = 422 if form.errors else 200
    context["once"] = uuid4()
    return render(request, "faults/quotes/send.html", context, status=status)


def _sent_once(request: SignedInRequest, quote: Quote, data: dict[str, Any]) -> str:
    """Send a quote, once for each form that was opened: a client gets no second mail."""
    at, digest = timezone.now(), digest_of(request.POST.lists())
    with transaction.atomic():
        key = key_of(request.POST.get("once", ""))
        row = take_once(key=key, user=request.user, digest=digest, at=at)
        address = send_quote(quote=quote, by=request.user, at=at, **data)
        note_outcome(row, said=str(_("Sent to %s.") % data["sent_to"]), led_to="")
    return address
