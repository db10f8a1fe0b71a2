"""The people of a property, and what its client allows without being asked."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest, actions_on, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import OnAndWhyForm, WhyForm
from sites.kernel.services.dated import lasting
from sites.kernel.views.verb_help import chosen_row, property_crumbs, today_at
from sites.kernel.views.verbs import verb_page
from sites.models import Contact, Property
from sites.register.forms.properties import AuthorityForm, ContactForm
from sites.register.services.contacts import (
    add_contact,
    bring_contact_back,
    change_contact,
    end_authority,
    end_contact,
    give_authority,
)
from sites.register.views.properties import about_property, find_property


@page_for(Action.SET_AUTHORITY)
def property_authority(request: SignedInRequest, ref: str) -> HttpResponse:
    """What the client allows without being asked: what is recorded, and a new one."""
    place = find_property(request, ref, Action.SET_AUTHORITY)
    form = AuthorityForm(request.POST or None, initial={"from_on": today_at(place)})

    def act(data: dict[str, Any]) -> str:
        give_authority(place=place, **data)
        return _("Recorded. Work within it needs no further yes.")

    page = about_property(
        place,
        heading=_("Standing authority at %s") % place,
        button=_("Record this authority"),
        lead=_("What the client allows without being asked each time."),
        watched=[],
        act=act,
        template="sites/properties/authority.html",
        extra={"place": place, "authorities": lasting(place.authorities), "today": today_at(place)},
    )
    return verb_page(request, form, page)


@page_for(Action.SET_AUTHORITY)
def property_authority_end(request: SignedInRequest, ref: str) -> HttpResponse:
    """End the authority that holds, or that `?row=` names."""
    place = find_property(request, ref, Action.SET_AUTHORITY)
    rows = lasting(place.authorities)
    row = chosen_row(request, rows, rows[0] if rows else None)
    back = reverse("sites:property_authority", args=[place.ref])
    form = OnAndWhyForm(request.POST or None, initial={"on": today_at(place)})

    def act(data: dict[str, Any]) -> str:
        if row is None:
            raise Http404
        end_authority(authority=row, on=data["on"], why=data["why"])
        return str(_("It ends on %s.") % data["on"].isoformat())

    page = about_property(
        place,
        heading=_("End the standing authority"),
        button=_("End it"),
        lead=_("Ended on the day from which it was given, it never held."),
        back=back,
        watched=[row] if row else [place],
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.SEE_CONTACTS)
def property_contacts(request: SignedInRequest, ref: str) -> HttpResponse:
    """The people of a property, those who ended last."""
    place = find_property(request, ref, Action.SEE_CONTACTS)
    rows = list(place.contacts.order_by("name", "pk"))
    context = {
        "place": place,
        "crumbs": property_crumbs(place),
        "may_here": actions_on(request.user, place),
        "contacts": [each for each in rows if each.ended_on is None],
        "ended": [each for each in rows if each.ended_on is not None],
    }
    return render(request, "sites/properties/contacts.html", context)


def _contact(request: SignedInRequest, place: Property) -> Contact | None:
    rows = list(place.contacts.order_by("pk"))
    found: Contact | None = chosen_row(request, rows, None)
    return found


@page_for(Action.EDIT_REGISTER)
def contact_edit(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a contact, or change the one that `?row=` names."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    known = _contact(request, place)
    form = ContactForm(request.POST or None, contact=known)

    def act(_data: dict[str, Any]) -> str:
        if known is None:
            add_contact(place=place, values=form.values())
        else:
            change_contact(contact=known, values=form.values())
        return _("Kept.")

    page = about_property(
        place,
        heading=_("Change %s") % known if known else _("Add a contact to %s") % place,
        button=_("Keep this"),
        back=reverse("sites:property_contacts", args=[place.ref]),
        watched=[known] if known else [],
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def contact_end(request: SignedInRequest, ref: str) -> HttpResponse:
    """End the contact that `?row=` names, or bring that one back."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    known = _contact(request, place)
    if known is None:
        return property_contacts(request, ref)
    is_ended = known.ended_on is not None
    today = today_at(place)
    form: Any = (WhyForm if is_ended else OnAndWhyForm)(request.POST or None, initial={"on": today})

    def act(data: dict[str, Any]) -> str:
        if is_ended:
            bring_contact_back(contact=known, why=data["why"])
            return _("Back among the contacts.")
        end_contact(contact=known, on=data["on"], why=data["why"], today=today)
        return _("Ended. The contact stays for the record.")

    page = about_property(
        place,
        heading=_("Bring %s back") % known if is_ended else _("End the contact %s") % known,
        button=_("Bring back") if is_ended else _("End this contact"),
        back=reverse("sites:property_contacts", args=[place.ref]),
        watched=[known],
        act=act,
    )
    return verb_page(request, form, page)
