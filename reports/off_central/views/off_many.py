"""What may be done to many stations off central control at once."""

from django.db.models import QuerySet
from django.http import QueryDict

from faults.casework.views.station_many import PLAN, REPORT, ManyStations
from reports.off_central.forms import OffCentralFilter
from reports.off_central.queries import off_central_rows
from sites.kernel.access import stations_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.acts import Look
from sites.models import Station


class OffMany(ManyStations):
    """Stations that are ticked in the list of what is off central control."""

    asks_for = Action.SEE_OFF_CENTRAL
    list_page, many_page = "reports:home", "reports:off_many"
    acts = {"off_plan": PLAN, "off_report": REPORT}
    looks = {"off_csv": Look("CSV", "reports:home", {"export": "csv"})}

    def matching(self, asked: QueryDict) -> QuerySet[Station]:
        parts = OffCentralFilter(asked, queryset=off_central_rows(self.request.user)).qs
        rows = stations_for(self.request.user, Action.SEE_OFF_CENTRAL)
        rows = rows.filter(pk__in=parts.order_by().values("station"))
        return rows.order_by("controller__property__code", "controller__name", "number", "pk")
