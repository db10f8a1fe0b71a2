"""The people of a property, and what its client allows without being asked."""

from collections.abc import Callable
from functools import cached_property
from typing import Any

from django import forms
from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import SignedInRequest, actions_on, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import OnAndWhyForm, WhyForm
from sites.kernel.services.dated import lasting
from sites.kernel.views.verb_help import ChosenMixin, PropertyView, property_crumbs
from sites.kernel.views.verb_views import Text
from sites.models import Contact, Property, StandingAuthority
from sites.register.forms.properties import AuthorityForm, ContactForm
from sites.register.services.contacts import (
    add_contact,
    bring_contact_back,
    change_contact,
    end_authority,
    end_contact,
    give_authority,
)


class PropertyAuthority(PropertyView):
    """What the client allows without being asked: what is recorded, and a new one."""

    verb = give_authority
    form_class = AuthorityForm
    starts_today = ("from_on",)
    heading, button = _("Standing authority at %s"), _("Record this authority")
    lead = _("What the client allows without being asked each time.")
    done = _("Recorded. Work within it needs no further yes.")
    template_name = "sites/properties/authority.html"

    def get_watched(self) -> list[Model]:
        return []

    def get_extra(self) -> dict[str, object]:
        authorities = lasting(self.row.authorities)
        return {"place": self.row, "authorities": authorities, "today": self.today}


class PropertyAuthorityEnd(ChosenMixin[Property], PropertyView):
    """End the authority that holds, or that `?row=` names."""

    verb = end_authority
    takes_chosen = "authority"
    form_class = OnAndWhyForm
    starts_today = ("on",)
    heading, button = _("End the standing authority"), _("End it")
    lead = _("Ended on the day from which it was given, it never held.")

    def get_rows(self) -> list[StandingAuthority]:
        return lasting(self.row.authorities)

    def get_usual(self) -> StandingAuthority | None:
        return self.rows[0] if self.rows else None

    def get_watched(self) -> list[Model]:
        return [self.chosen or self.row]

    def get_back(self) -> str:
        return reverse("sites:property_authority", args=[self.row.ref])

    def get_done(self) -> Text:
        return str(_("It ends on %s.") % self.form.cleaned_data["on"].isoformat())

    def act(self, data: dict[str, object]) -> Text:
        if self.chosen is None:
            raise Http404
        return super().act(data)


@page_for(Action.SEE_CONTACTS)
def property_contacts(request: SignedInRequest, ref: str) -> HttpResponse:
    """The people of a property, those who ended last."""
    place = find(properties_for(request.user, Action.SEE_CONTACTS), ref=ref)
    rows = list(place.contacts.order_by("name", "pk"))
    context = {
        "place": place,
        "crumbs": property_crumbs(place),
        "may_here": actions_on(request.user, place),
        "contacts": [each for each in rows if each.ended_on is None],
        "ended": [each for each in rows if each.ended_on is not None],
    }
    return render(request, "sites/properties/contacts.html", context)


class _OfContact(ChosenMixin[Property], PropertyView):
    takes_chosen = "contact"

    def get_rows(self) -> list[Contact]:
        return list(self.row.contacts.order_by("pk"))

    def get_watched(self) -> list[Model]:
        return [self.chosen] if self.chosen else []

    def get_named(self) -> object:
        return self.chosen or self.row

    def get_back(self) -> str:
        return reverse("sites:property_contacts", args=[self.row.ref])


class ContactEdit(_OfContact):
    """Add a contact, or change the one that `?row=` names."""

    verb = add_contact
    change = change_contact
    form_class = ContactForm

    def get_heading(self) -> Text:
        return _("Change %s") if self.chosen else _("Add a contact to %s")


class ContactEnd(_OfContact):
    """End the contact that `?row=` names, or bring that one back."""

    verb = end_contact
    change = bring_contact_back
    starts_today = ("on",)

    @cached_property
    def is_ended(self) -> bool:
        """Whether it comes back."""
        return self.chosen.ended_on is not None

    def elsewhere(self) -> str:
        return "" if self.chosen else self.get_back()

    def get_form(self) -> forms.Form:
        form_class = WhyForm if self.is_ended else OnAndWhyForm
        return form_class(self.posted, initial=self.get_initial())

    def get_verb(self) -> Callable[..., Any]:
        return type(self).change if self.is_ended else type(self).verb

    def get_heading(self) -> Text:
        return _("Bring %s back") if self.is_ended else _("End the contact %s")

    def get_button(self) -> Text:
        return _("Bring back") if self.is_ended else _("End this contact")

    def get_done(self) -> Text:
        if self.is_ended:
            return _("Back among the contacts.")
        return _("Ended. The contact stays for the record.")
