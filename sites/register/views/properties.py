"""Verbs on a property: its facts, its client, what work and water cost, its people."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest, find, may_everywhere, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.services.dated import lasting
from sites.kernel.views.verb_help import acting, chosen_row, dated_page, property_crumbs, today_at
from sites.kernel.views.verbs import VerbPage, verb_page
from sites.models import Property, Tariff
from sites.register.forms.properties import ClientForm, PropertyFactsForm, TariffForm, WarrantyForm
from sites.register.services.property_facts import change_client, change_property, set_warranty
from sites.register.services.tariffs import (
    change_tariff,
    correct_tariff,
    take_back_tariff,
    tariff_now,
)


def find_property(request: SignedInRequest, ref: str, action: Action) -> Property:
    """Return the property, where the user has the action on it."""
    return find(properties_for(request.user, action).select_related("client"), ref=ref)


def about_property(place: Property, **given: Any) -> VerbPage:
    """Return a page about one property; it leads back to the property."""
    fixed = {
        "back": reverse("reports:property", args=[place.ref]),
        "crumbs": property_crumbs(place),
        "watched": [place],
    }
    return VerbPage(**{**fixed, **given})


@page_for(Action.EDIT_REGISTER)
def property_edit(request: SignedInRequest, ref: str) -> HttpResponse:
    """Address, time zone, units, kind, soil, records, season, notice region, notes."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    form = PropertyFactsForm(request.POST or None, place=place)

    def act(_data: dict[str, Any]) -> str:
        change_property(place=place, values=form.values(), today=today_at(place))
        return _("Kept.")

    page = about_property(place, heading=_("Change %s") % place, button=_("Keep this"), act=act)
    return verb_page(request, form, page)


@page_for(Action.SET_AUTHORITY)
def property_warranty(request: SignedInRequest, ref: str) -> HttpResponse:
    """How long a mend is ours to mend again."""
    place = find_property(request, ref, Action.SET_AUTHORITY)
    form = WarrantyForm(request.POST or None, initial={"days": place.warranty_days})

    def act(data: dict[str, Any]) -> str:
        set_warranty(place=place, days=data["days"])
        return _("Kept.")

    page = about_property(
        place,
        heading=_("Warranty at %s") % place,
        button=_("Keep this"),
        lead=_("Within these days a new break near our own mend is ours to mend again."),
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def property_client(request: SignedInRequest, ref: str) -> HttpResponse:
    """Another client pays. It names clients, so it asks for the action everywhere."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    if not may_everywhere(request.user, Action.EDIT_REGISTER):
        raise PermissionDenied
    form = ClientForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        client = change_client(place=place, name=data["name"], why=data["why"])
        return _("%s pays from now on.") % client

    page = about_property(
        place,
        heading=_("Give %s to another client") % place,
        button=_("This client pays now"),
        lead=_("Now: %s.") % place.client,
        caution=_(
            "People whose grant is for the old client no longer see this property; those of the "
            "new client see it with its whole history."
        ),
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.SET_AUTHORITY)
def property_tariff(request: SignedInRequest, ref: str) -> HttpResponse:
    """What water and work cost: changed from a day, or was wrong."""
    place = find_property(request, ref, Action.SET_AUTHORITY)
    rows, now = lasting(place.tariffs), tariff_now(place)
    row = chosen_row(request, rows, now)
    form = TariffForm(request.POST or None, row=row, is_current=row == now)
    today = today_at(place)
    page = about_property(
        place,
        heading=_("What water and work cost at %s") % place,
        button=_("Keep this"),
        watched=[place, *([row] if row else [])],
        act=acting(
            form,
            change=lambda data: change_tariff(
                place=place, values=form.values(), on=data["on"], today=today
            ),
            correct=lambda data: correct_tariff(
                tariff=row or Tariff(property=place), values=form.values(), why=data["why"]
            ),
        ),
        template="sites/dated.html",
    )
    back = reverse("sites:property_tariff_back", args=[place.ref]) if now and now.from_on else ""
    return dated_page(request, form, page, rows=rows, words=tariff_words, take_back=back)


def tariff_words(row: Tariff) -> str:
    """Say in one line what water and work cost."""
    pieces = []
    if row.water_price is not None:
        price = {"price": row.water_price.normalize(), "unit": row.get_price_unit_display()}
        pieces.append(_("water %(price)s per %(unit)s") % price)
    if row.labour_rate is not None:
        pieces.append(_("labour %s per hour") % row.labour_rate)
    if row.standby_rate is not None:
        pieces.append(_("standby %s per hour") % row.standby_rate)
    return ", ".join(pieces) or _("nothing known")


@page_for(Action.SET_AUTHORITY)
def property_tariff_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take the latest change of the tariff back."""
    place = find_property(request, ref, Action.SET_AUTHORITY)
    now = tariff_now(place)

    def act(data: dict[str, Any]) -> str:
        take_back_tariff(place=place, why=data["why"])
        return _("Taken back. What held before holds again.")

    page = about_property(
        place,
        heading=_("Take the latest change back"),
        button=_("It did not change"),
        lead=tariff_words(now) if now else "",
        back=reverse("sites:property_tariff", args=[place.ref]),
        watched=[place, *([now] if now else [])],
        act=act,
    )
    return verb_page(request, WhyForm(request.POST or None), page)
