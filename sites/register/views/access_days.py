"""When a property may be entered: its hours, its closed days, and the next days."""

from datetime import timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from sites.kernel.access import SignedInRequest, actions_on, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import WhyForm
from sites.kernel.views.verb_help import chosen_row, property_crumbs, today_at
from sites.kernel.views.verbs import verb_page
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
from sites.register.views.properties import about_property, find_property

NEXT_DAYS = 14


@page_for(Action.SEE_WORK)
def property_access(request: SignedInRequest, ref: str) -> HttpResponse:
    """When people may work here: the week, the closed days, and the next two weeks."""
    place = find_property(request, ref, Action.SEE_WORK)
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


@page_for(Action.EDIT_REGISTER)
def property_access_hours(request: SignedInRequest, ref: str) -> HttpResponse:
    """Set the weekly hours."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    rows = hours_of(place)
    form = HoursForm(request.POST or None, rows=rows)

    def act(_data: dict[str, Any]) -> str:
        set_access_hours(place=place, hours=form.hours())
        return _("Kept.")

    page = about_property(
        place,
        heading=_("Hours at %s") % place,
        button=_("Keep these hours"),
        lead=_(
            "A weekday without hours is closed, where any other has some. With none at all the "
            "property is open at any time."
        ),
        back=_back(place),
        watched=[place, *rows],
        act=act,
        template="sites/properties/access_hours.html",
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def property_blackout(request: SignedInRequest, ref: str) -> HttpResponse:
    """Close the property for some days, or change those that `?row=` names."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    known = _blackout(request, place)
    initial = {"initial": {"from_on": today_at(place)}} if known is None else {}
    form = BlackoutForm(request.POST or None, blackout=known, **initial)

    def act(_data: dict[str, Any]) -> str:
        if known is None:
            add_blackout(place=place, **form.values())
        else:
            change_blackout(blackout=known, **form.values())
        return _("Kept.")

    page = about_property(
        place,
        heading=_("Days on which nobody may work at %s") % place,
        button=_("Keep these days"),
        back=_back(place),
        watched=[known] if known else [],
        act=act,
    )
    return verb_page(request, form, page)


@page_for(Action.EDIT_REGISTER)
def property_blackout_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take the days back that `?row=` names."""
    place = find_property(request, ref, Action.EDIT_REGISTER)
    known = _blackout(request, place)
    if known is None:
        return property_access(request, ref)
    form = WhyForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        take_back_blackout(blackout=known, why=data["why"])
        return _("Taken back. People may work on these days.")

    page = about_property(
        place,
        heading=_("Open %(place)s again: %(why)s") % {"place": place, "why": known.why},
        button=_("Open it again"),
        back=_back(place),
        watched=[known],
        act=act,
    )
    return verb_page(request, form, page)


def _blackout(request: SignedInRequest, place: Property) -> Blackout | None:
    found: Blackout | None = chosen_row(request, blackouts_of(place), None)
    return found


def _back(place: Property) -> str:
    return reverse("sites:property_access", args=[place.ref])
