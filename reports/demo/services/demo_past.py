"""Visits of faults that are over, as the company's own past: how long its crews were there."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from faults.cases.engines.stages import Stage
from faults.models import Crew, Fault, Job, JobKind, JobState
from sites.kernel.services.verbs import as_one_change

# Minutes of the locate and of the mend; 0: it was mended on the same visit.
VISITS = ((85, 0), (120, 95), (60, 0), (165, 140), (100, 60), (75, 0), (210, 120), (90, 80))
MOST_FAULTS = 24
BEGAN = time(8, 30)


@as_one_change()
def make_demo_past(*, crews: Sequence[Crew], today: date) -> None:
    """Give the newest faults that are over the visits that they took."""
    over = Fault.objects.filter(stage=Stage.RETURNED.value, closed_on__lt=today - timedelta(days=7))
    newest = over.select_related("property").order_by("-closed_on", "-pk")[:MOST_FAULTS]
    for n, fault in enumerate(newest):
        assert fault.closed_on is not None
        locate, mend = VISITS[n % len(VISITS)]
        crew = crews[n % len(crews)]
        _visit(fault, JobKind.LOCATE, crew, fault.closed_on - timedelta(days=2), locate)
        if mend:
            _visit(fault, JobKind.DIG, crew, fault.closed_on - timedelta(days=1), mend)


def _visit(fault: Fault, kind: JobKind, crew: Crew, day: date, minutes: int) -> None:
    day = max(day, fault.reported_on)
    began = datetime.combine(day, BEGAN, ZoneInfo(fault.property.time_zone))
    Job.objects.create(
        property=fault.property,
        fault=fault,
        kind=kind.value,
        crew=crew,
        day=day,
        starts_at=BEGAN,
        expected_minutes=minutes,
        actual_minutes=minutes,
        state=JobState.DONE.value,
        started_at=began,
        ended_at=began + timedelta(minutes=minutes),
    )
