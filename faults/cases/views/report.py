"""Report a fault: from the list, from a property, from a station. Correct what was reported."""

from functools import cached_property
from typing import Any

from django.db.models import Model
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _

from faults.access import roles_on
from faults.cases.forms.report import CorrectReportForm, ReportForm
from faults.cases.queries import stations_offered
from faults.cases.services.report import UnableToReportTwice, correct_report, report_fault
from faults.cases.views.common import FaultView, fault_url
from sites.kernel.access import find, properties_for, roles_of, stations_for
from sites.kernel.engines.roles import Role
from sites.kernel.views.verb_help import property_crumbs
from sites.kernel.views.verb_views import Crumbs, Text, VerbView
from sites.models import Property, Station, today_at
from sites.models.property import PropertyQuerySet

MOST_PROPERTIES_OFFERED = 400


class Report(VerbView[Property | None]):
    """Report a fault, the property typed with the rest; who has one property need not."""

    verb = report_fault
    takes = "place"
    button = _("Report this fault")
    template_name = "faults/verbs/report.html"

    @cached_property
    def places(self) -> PropertyQuerySet:
        """The properties where the user may report."""
        return properties_for(self.user, self.may_do)

    def find(self) -> Property | None:
        few = list(self.offered[:2])
        return few[0] if len(few) == 1 else None

    @property
    def offered(self) -> PropertyQuerySet:
        """Those that can be chosen by typing."""
        return self.places.in_care().order_by("code", "pk")

    def get_form(self) -> ReportForm:
        place = self.row
        roles = roles_on(self.user, place) if place else roles_of(self.user)
        return ReportForm(
            self.posted,
            places=self.offered if place is None else self.places,
            place=place,
            today=self.today,
            plainly=roles == {Role.CLIENT},
            initial=self.get_initial(),
        )

    def get_place(self) -> Property | None:
        return self.row

    def get_watched(self) -> list[Model]:
        return []

    def get_heading(self) -> Text:
        return _("Report a fault on %s") if self.row else _("Report a fault")

    def get_back(self) -> str:
        if self.row is None:
            return reverse("faults:faults")
        return reverse("reports:property", args=[self.row.ref])

    def get_crumbs(self) -> Crumbs:
        return property_crumbs(self.row) if self.row else [(reverse("faults:faults"), _("Faults"))]

    def get_extra(self) -> dict[str, object]:
        if self.row is not None:
            return {"stations_known": stations_offered(self.row)}
        return {"places": self.offered[:MOST_PROPERTIES_OFFERED]}

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        place = data["place"]
        return {**super().arguments(data), "place": place, "today": today_at(place)}

    def act(self, data: dict[str, object]) -> Text:
        try:
            return super().act(data)
        except UnableToReportTwice as twice:
            there = fault_url(twice.fault)
            twice.args = (format_html('{} <a href="{}">{}</a>', twice, there, twice.fault),)
            raise

    def get_done(self) -> Text:
        return str(_("Fault %s is reported.") % self.result)

    def get_after(self) -> str:
        return fault_url(self.result)


class ReportOnProperty(Report):
    """Report a fault on this property."""

    def find(self) -> Property:
        return find(self.places, ref=self.kwargs["ref"])


class ReportOnStation(Report):
    """Report a fault on this station; others of the property may be added."""

    station: Station

    def find(self) -> Property:
        stations = stations_for(self.user, self.may_do).select_related("controller__property")
        self.station = find(stations, ref=self.kwargs["ref"])
        return self.station.controller.property

    def get_initial(self) -> dict[str, object]:
        return {"stations": str(self.station)}

    def get_back(self) -> str:
        return reverse("reports:station", args=[self.station.ref])


class Correct(FaultView):
    """Correct what was reported."""

    verb = correct_report
    form_class = CorrectReportForm
    heading, button = _("Correct what was reported of %s"), _("Correct it")
    done = _("Corrected. History keeps what was reported before.")
    template_name = "faults/verbs/form.html"
