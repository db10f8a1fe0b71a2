"""When a property may be entered: its hours, its closed days, and the next days."""

from collections.abc import Sequence
from datetime import timedelta
from functools import cached_property
from typing import Any

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from sites.kernel.access import SignedInRequest, actions_on, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_help import ChosenMixin, PropertyView, property_crumbs, today_at
from sites.kernel.views.verb_views import Text
from sites.models import Blackout, Property
from sites.register.forms.access import WEEKDAYS, BlackoutForm, HoursForm
from sites.register.queries.access_days import blackouts_of, hours_of
from sites.register.services.access_days import (
    AccessBook,
    add_blackout,
    change_blackout,
    set_access_hours,
    take_back_blackout,
)

NEXT_DAYS = 14


@page_for(Action.SEE_WORK)
def property_access(request: SignedInRequest, ref: str) -> HttpResponse:
    """When people may work here: the week, the closed days, and the next two weeks."""
    place = find(properties_for(request.user, Action.SEE_WORK), ref=ref)
    today, rows, blackouts = today_at(place), hours_of(place), blackouts_of(place)
    book = AccessBook(rows, blackouts)
    ahead = [today + timedelta(days=number) for number in range(NEXT_DAYS)]
    context = {
        "place": place,
        "crumbs": property_crumbs(place),
        "may_here": actions_on(request.user, place),
        "week": [
            (name, [row for row in rows if row.weekday == weekday])
            for weekday, name in enumerate(WEEKDAYS)
        ],
        "has_hours": bool(rows),
        "blackouts": [
            (each, each.to_on - timedelta(days=1), each.to_on <= today)
            for each in blackouts
            if each.to_on > each.from_on
        ],
        "ahead": [(day, WEEKDAYS[day.weekday()], book.open_on(place.pk, day)) for day in ahead],
    }
    return render(request, "sites/properties/access.html", context)


class _BackToAccess(PropertyView):
    def get_back(self) -> str:
        return reverse("sites:property_access", args=[self.row.ref])


class PropertyAccessHours(_BackToAccess):
    """Set the weekly hours."""

    verb = set_access_hours
    heading, button = _("Hours at %s"), _("Keep these hours")
    lead = _(
        "A weekday without hours is closed, where any other has some. With none at all the "
        "property is open at any time."
    )
    template_name = "sites/properties/access_hours.html"

    @cached_property
    def rows(self) -> Sequence[Any]:
        """The hours that are kept."""
        return hours_of(self.row)

    def get_form(self) -> HoursForm:
        return HoursForm(self.posted, rows=self.rows)

    def get_watched(self) -> list[Model]:
        return [self.row, *self.rows]


class _OfBlackout(ChosenMixin[Property], _BackToAccess):
    takes_chosen = "blackout"

    def get_rows(self) -> Sequence[Blackout]:
        return blackouts_of(self.row)

    def get_watched(self) -> list[Model]:
        return [self.chosen] if self.chosen else []


class PropertyBlackout(_OfBlackout):
    """Close the property for some days, or change those that `?row=` names."""

    verb = add_blackout
    change = change_blackout
    heading = _("Days on which nobody may work at %s")
    button = _("Keep these days")
    form_class = BlackoutForm
    starts_today = ("from_on",)


class PropertyBlackoutBack(_OfBlackout):
    """Take the days back that `?row=` names."""

    verb = take_back_blackout
    form_class = WhyForm
    button = _("Open it again")
    done = _("Taken back. People may work on these days.")

    def elsewhere(self) -> str:
        return "" if self.chosen else self.get_back()

    def get_heading(self) -> Text:
        words = {"place": self.row, "why": self.chosen.why}
        return str(_("Open %(place)s again: %(why)s") % words)
