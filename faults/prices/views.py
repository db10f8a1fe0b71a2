"""Price lists: what holds, what held, and the page on which all prices are entered."""

from functools import cached_property
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from faults.models import PriceList
from faults.prices.forms.lists import ChangePricesForm, CorrectPricesForm
from faults.prices.queries import lists_to_change, may_price, newest_lists
from faults.prices.services.holding import lists_about, prices_at
from faults.prices.services.lists import (
    PriceScope,
    change_prices,
    correct_prices,
    open_list,
    take_back_prices,
)
from faults.prices.services.words import lines_of, lines_of_list
from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_help import Crumbs, PropertyView, property_crumbs
from sites.kernel.views.verb_views import Text, VerbView
from sites.models import Property, today_at


@page_for(Action.SEE_RATES)
def prices(request: SignedInRequest) -> HttpResponse:
    """The lists that hold or will hold: of the company, of clients, of properties."""
    rows = newest_lists(request.user)
    company = next((one for one in rows if not (one.client_id or one.property_id)), None)
    context = {
        "company": company,
        "lines": lines_of_list(company) if company else [],
        "others": [one for one in rows if one.client_id or one.property_id],
        "may_change": may_everywhere(request.user, Action.SET_AUTHORITY),
        "today": timezone.localdate(),
    }
    return render(request, "faults/prices/prices.html", context)


@page_for(Action.SEE_RATES)
def property_prices(request: SignedInRequest, ref: str) -> HttpResponse:
    """What is charged at a property today, and from which list each price comes."""
    rows = properties_for(request.user, Action.SEE_RATES).select_related("client")
    place = find(rows, ref=ref)
    changeable = set(lists_to_change(request.user).values_list("pk", flat=True))
    today = today_at(place)
    held = prices_at(place, today)
    context = {
        "place": place,
        "prices": held,
        "lines": lines_of(held),
        "lists": [(one, lines_of_list(one)) for one in lists_about(place)],
        "changeable": changeable,
        "today": today,
        "crumbs": property_crumbs(place),
        "may_price_here": properties_for(request.user, Action.SET_AUTHORITY)
        .filter(pk=place.pk)
        .exists(),
        "may_price_client": may_price(request.user, place.client),
    }
    return render(request, "faults/prices/property.html", context)


class _Change(VerbView[Any]):
    """What the pages share that let other prices hold from a day on."""

    asks_again = True

    verb = change_prices
    form_class = ChangePricesForm
    template_name = "faults/prices/change.html"
    button = _("Keep these prices")
    lead = _(
        "Prices hold from a day on, which may lie ahead. What was quoted or booked before keeps "
        "its own price."
    )
    done = _("Kept. Quotes that are made from that day on use them.")

    def get_watched(self) -> list[Model]:
        return [self.held] if self.held else []

    @cached_property
    def held(self) -> PriceList | None:
        """The list that has not ended."""
        return open_list(self.scope)

    @property
    def scope(self) -> PriceScope:
        """Whose list it is."""
        raise NotImplementedError

    def get_form_kwargs(self) -> dict[str, Any]:
        return {"known": self.held, "initial": {"on": self.today}}

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        return {**self.named(change_prices, data), "scope": self.scope}


class PricesCompany(_Change):
    """What the company charges where no client or property has a price of its own."""

    heading = _("What the company charges")

    def find(self) -> None:
        if not may_everywhere(self.user, self.may_do):
            raise PermissionDenied

    def get_back(self) -> str:
        return reverse("faults:prices")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Prices"))]

    @property
    def scope(self) -> PriceScope:
        return PriceScope()


class PricesOwn(_Change, PropertyView):
    """What is charged at one property."""

    heading = _("What is charged at %s")

    def get_back(self) -> str:
        return reverse("faults:property_prices", args=[self.row.ref])

    @property
    def scope(self) -> PriceScope:
        return PriceScope(property=self.row)


class PricesClient(PricesOwn):
    """What is charged at all properties of a client."""

    heading = _("What %s pays")

    def find(self) -> Property:
        place = super().find()
        if not may_price(self.user, place.client):
            raise PermissionDenied
        return place

    def get_named(self) -> object:
        return self.row.client

    @property
    def scope(self) -> PriceScope:
        return PriceScope(client=self.row.client)


class _OfList(VerbView[PriceList]):
    asks_again = True
    takes = "prices"

    def find(self) -> PriceList:
        return find(lists_to_change(self.user), pk=self.kwargs["pk"])

    def get_place(self) -> Property | None:
        return self.row.property

    def get_back(self) -> str:
        return reverse("faults:prices")

    def get_crumbs(self) -> Crumbs:
        return [(self.get_back(), _("Prices"))]


class PricesCorrect(_OfList):
    """A list was wrong."""

    verb = correct_prices
    form_class = CorrectPricesForm
    template_name = "faults/prices/change.html"
    heading, button = _("Prices of %s: put right"), _("Put it right")
    lead = _("For all days of this list. Quotes and lines that used it keep what they say.")
    done = _("Put right. The old values stay in the history.")

    def get_form_kwargs(self) -> dict[str, Any]:
        return {"known": self.row}


class PricesTakeBack(_OfList):
    """The newest list does not hold after all."""

    verb = take_back_prices
    form_class = WhyForm
    heading, button = _("Prices of %s: take the change back"), _("It did not change")
    done = _("Taken back. What held before holds again.")

    def get_lead(self) -> Text:
        return str(_("The list from %s holds on no day then.") % self.row.from_on.isoformat())
