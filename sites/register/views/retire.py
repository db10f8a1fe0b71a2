"""Retire a station, a controller or a property from a day, or bring it back; what is retired."""

from collections.abc import Callable
from functools import cached_property
from typing import Any, ClassVar, TypeVar

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from sites.kernel.access import (
    SignedInRequest,
    actions_on,
    find,
    page_for,
    properties_for,
    stations_for,
)
from sites.kernel.engines.roles import Action
from sites.kernel.forms.fields import OnAndWhyForm, WhyForm
from sites.kernel.views.verb_help import (
    ControllerView,
    PropertyView,
    StationView,
    property_crumbs,
)
from sites.kernel.views.verb_views import Text, VerbView
from sites.models import Controller, Property, Station
from sites.register.services import retire as verbs

Row = TypeVar("Row", Station, Controller, Property)


class RetireMixin(VerbView[Row]):
    """Retire a row from a day on, or, where it is retired, bring it back: one page for both."""

    bring_back: ClassVar[Callable[..., None]]

    @cached_property
    def is_gone(self) -> bool:
        """Whether it was retired when the page was opened."""
        return self.row.retired_on is not None

    def get_verb(self) -> Callable[..., Any]:
        """Return the verb that there is to do."""
        return type(self).bring_back if self.is_gone else type(self).verb

    def get_form(self) -> WhyForm | OnAndWhyForm:
        """Ask why, and for the day on which it goes."""
        if self.is_gone:
            return WhyForm(self.posted)
        return OnAndWhyForm(self.posted, initial={"on": self.today})

    def get_heading(self) -> Text:
        """Return the words over the form."""
        return _("Bring %s back") if self.is_gone else _("Retire %s")

    def get_button(self) -> Text:
        """Return the words on the button."""
        return _("Bring it back") if self.is_gone else _("Retire it")

    def get_lead(self) -> Text:
        """Return what follows, or since when it is retired."""
        if self.row.retired_on is not None:
            return str(_("Retired on %s.") % self.row.retired_on.isoformat())
        return _("It leaves all lists and counts from that day on; its history stays.")

    def get_caution(self) -> Text:
        """Name the stopgaps that nobody has fetched."""
        left = 0 if self.is_gone else verbs.stopgaps_left_on(self.row)
        words = ngettext(
            "One stopgap still stands there. Retiring does not fetch it.",
            "%(n)s stopgaps still stand there. Retiring does not fetch them.",
            left,
        )
        return words % {"n": left} if left else ""

    def get_done(self) -> Text:
        """Say since when it is gone, or that it is back."""
        if self.is_gone:
            return _("Back in care. Its days off central control are counted again.")
        return str(_("Retired from %s on.") % self.form.cleaned_data["on"].isoformat())


class StationRetire(RetireMixin[Station], StationView):
    """Retire a station, or bring it back."""

    verb, bring_back = verbs.retire_station, verbs.bring_station_back

    def get_named(self) -> str:
        return str(_("station %s") % self.row)


class ControllerRetire(RetireMixin[Controller], ControllerView):
    """Retire a controller with its stations, or bring it back."""

    verb, bring_back = verbs.retire_controller, verbs.bring_controller_back

    def get_named(self) -> str:
        return str(_("controller %s") % self.row)


class PropertyRetire(RetireMixin[Property], PropertyView):
    """Retire a property with all that is on it, or bring it back."""

    verb, bring_back = verbs.retire_property, verbs.bring_property_back

    def get_named(self) -> str:
        return self.row.code


@page_for(Action.EDIT_REGISTER)
def retired_properties(request: SignedInRequest) -> HttpResponse:
    """Properties that were retired, so that one can be brought back."""
    rows = properties_for(request.user, Action.EDIT_REGISTER).filter(retired_on__isnull=False)
    context = {"properties": list(rows.order_by("code", "pk")[:500])}
    return render(request, "sites/retired.html", context)


@page_for(Action.SEE_REGISTER)
def property_retired(request: SignedInRequest, ref: str) -> HttpResponse:
    """What was retired on one property."""
    place = find(properties_for(request.user), ref=ref)
    stations = stations_for(request.user).filter(
        controller__property=place, retired_on__isnull=False
    )
    context = {
        "place": place,
        "crumbs": property_crumbs(place),
        "may_here": actions_on(request.user, place),
        "controllers": list(
            place.controllers.filter(retired_on__isnull=False).order_by("name", "pk")[:500]
        ),
        "stations": list(
            stations.select_related("controller").order_by("controller__name", "number", "pk")[:500]
        ),
    }
    return render(request, "sites/retired.html", context)
