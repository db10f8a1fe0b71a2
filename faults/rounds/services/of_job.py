"""How far one visit is, whatever round it belongs to, or none."""

from faults.models import Job, RoundVisit
from faults.readings.services.loops import in_walking_order
from faults.rounds.queries.rounds import visit_of
from faults.rounds.services.progress import Progress, progress_of
from faults.rounds.services.recorded import Thing
from faults.rounds.services.targets import MOST_STATIONS, targets_of


def progress_of_job(job: Job) -> tuple[Progress, RoundVisit | None]:
    """Return how far a visit has come, and of which turn of which round it is."""
    visit = visit_of(job)
    begins = {job.pk: visit.begins_on} if visit else {}
    return progress_of([job], begins, {job.pk: things_of(job)})[job.pk], visit


def things_of(job: Job) -> list[Thing]:
    """Return what a visit goes to, in the order of walking: what it names, else all there now."""
    named = job.stations.select_related("controller__property", "valve_point")
    stations = in_walking_order(list(named.order_by("controller__name", "number", "pk")))
    devices = list(job.devices.order_by("name", "pk"))
    if not stations and not devices:
        stations, devices = targets_of(job.kind, job.property)
    return [*stations[:MOST_STATIONS], *devices]
