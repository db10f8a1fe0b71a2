"""Which stations of a fault come back by visits of their own, so that each has its own day."""

from typing import NamedTuple

from faults.models import CLOSED_STAGES, Fault, Job
from sites.models import Station


class Part(NamedTuple):
    """A fault, or one station of it."""

    fault: Fault
    station: Station | None = None

    @property
    def key(self) -> tuple[int, int | None]:
        """By which it is found again."""
        return self.fault.pk, self.station.pk if self.station else None


def is_for(job: Job, station: Station | None) -> bool:
    """Whether a visit brings a station nearer: it names the station, or none at all.

    Every visit is for a fault as a whole. Visits come with their stations.
    """
    named = {each.pk for each in job.stations.all()}
    return station is None or not named or station.pk in named


def stations_apart(fault: Fault) -> list[Station]:
    """Return the open stations of a fault if the visits still to be made differ among them; none
    where one day holds for all."""
    rows = fault.stations.exclude(stage__in=CLOSED_STAGES).select_related("station__controller")
    stations = [row.station for row in rows.order_by("pk")]
    visits = list(fault.jobs.open().prefetch_related("stations").order_by("pk"))
    by_visits = {tuple(job.pk for job in visits if is_for(job, one)) for one in stations}
    return stations if len(by_visits) > 1 else []
