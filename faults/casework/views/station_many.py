"""What may be done to many stations at once: report a fault on each, plan a visit, a file."""

from typing import Any

from django.db.models import QuerySet
from django.http import QueryDict
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from faults.cases.engines.stages import Stage
from faults.cases.queries import open_fault_on
from faults.cases.services.moves import move_stations
from faults.cases.views.report import ReportOnStation
from faults.casework.forms import PlanManyForm, ReportManyForm
from faults.casework.views.fault_many import PlanVisit, the_job_of, withdraw_of
from faults.work.services.told import UnableToPlan
from sites.kernel.access import stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.many import Named
from sites.kernel.views.acts import Act, Look
from sites.kernel.views.many import ManyView
from sites.kernel.views.verb_views import Text, VerbView
from sites.models import Station, User, today_at
from sites.register.forms.lists import StationFilter
from sites.register.queries.stations import stations_listed


class _ReportOne(ReportOnStation):
    """A fault of its own for one ticked station."""

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        station: Any = self.row
        form: Any = self.form
        place = station.controller.property
        return {
            "place": place,
            "stations": [station],
            "report": form.report(),
            "by": self.user,
            "at": timezone.now(),
            "today": today_at(place),
        }

    def act(self, data: dict[str, Any]) -> Text:
        # The list of what was refused leads to the station, where its open fault stands.
        return VerbView.act(self, data)


class _PlanForStation(PlanVisit):
    """A visit for the fault that stops a ticked station."""

    def arguments(self, data: dict[str, Any]) -> dict[str, Any]:
        station: Any = self.row
        fault = open_fault_on(self.user, station)
        if fault is None:
            raise UnableToPlan(_now("No fault is open on it. Report one first."))
        self.row = fault
        return super().arguments(data)


def _fault(page: VerbView[Any]) -> dict[str, Any]:
    return {"fault": page.result.pk}


def _withdraw_report(station: Station, kept: dict[str, Any], by: User) -> None:
    fault = open_fault_on(by, station)
    if fault is None or fault.pk != kept["fault"]:
        return  # closed meanwhile: nothing to take back
    today = today_at(fault.property)
    move_stations(
        fault=fault,
        stations=list(fault.stations.filter(station=station)),
        to=Stage.WITHDRAWN,
        on=today,
        by=by,
        at=timezone.now(),
        today=today,
        why=_now("taken back"),
    )


REPORT = Act(
    _ReportOne,
    button=_("Report a fault"),
    heading=lambda n: (
        ngettext("Report a fault on %(n)s station", "Report a fault on each of %(n)s stations", n)
        % {"n": n}
    ),
    said=lambda n: ngettext("%(n)s fault reported.", "%(n)s faults reported.", n) % {"n": n},
    made=_fault,
    undo=_withdraw_report,
    form_class=ReportManyForm,
)
PLAN = Act(
    _PlanForStation,
    button=_("Plan a visit"),
    heading=lambda n: (
        ngettext("Plan a visit to %(n)s station", "Plan a visit to %(n)s stations", n) % {"n": n}
    ),
    said=lambda n: ngettext("%(n)s visit planned.", "%(n)s visits planned.", n) % {"n": n},
    made=the_job_of,
    undo=withdraw_of,
    form_class=PlanManyForm,
)


class ManyStations(ManyView[Station]):
    """Stations that are ticked, in whichever list."""

    @classmethod
    def rows_for(cls, user: User, action: Action) -> QuerySet[Station]:
        return stations_for(user, action).select_related("controller__property")

    @classmethod
    def named(cls, row: Station) -> Named[Station]:
        words = f"{row.controller.property.code}: {row}"
        return Named(row, words, reverse("reports:station", args=[row.ref]))


class StationMany(ManyStations):
    """Stations that are ticked in their list."""

    asks_for = Action.SEE_REGISTER
    list_page, many_page = "sites:stations", "faults:station_many"
    acts = {"station_report": REPORT, "station_plan": PLAN}
    looks = {"station_csv": Look("CSV", "sites:stations", {"export": "csv"})}

    def matching(self, asked: QueryDict) -> QuerySet[Station]:
        found: QuerySet[Station] = StationFilter(
            asked, queryset=stations_listed(self.request.user)
        ).qs
        return found.order_by("controller__property__code", "controller__name", "number", "pk")
