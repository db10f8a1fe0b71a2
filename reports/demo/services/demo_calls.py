"""Calls of today: water that cannot be stopped, two stations at once, several weak; one promised.

Made by the verbs that people use, on stations that have no open fault.
"""

from datetime import date, datetime, time, timedelta

from faults.cases.services.report import Report, report_fault
from faults.models import CLOSED_STAGES, Crew, Fault, FaultStation, Symptom
from faults.work.services.assigning import assign_job
from faults.work.services.defaults import facts_for, kind_for
from faults.work.services.planning import plan_job
from sites.models import Station, User, Wiring

# As the callers said it.
STAYS_ON = "runs day and night; the clock shows it off"
RUNS_WITH = "comes on whenever the one beside it is called"
WEAK = "barely opens, like the two beside it"
PROMISED = (time(8, 0), time(10, 0))
AFTERNOON = (time(13, 0), time(15, 0))


def make_demo_calls(
    *, by: User, at: datetime, today: date, crew: Crew, days: list[date]
) -> list[Fault]:
    """Report three faults; two visits are promised for hours of a day, one of them is planned."""
    free = _free_stations()
    if len(free) < 6:
        return []
    one, (two, other), weak = free[:1], free[1:3], free[3:6]
    promised = days[1] if len(days) > 1 else today + timedelta(days=1)
    since, until = PROMISED
    told = [
        ([*one], Report(today, Symptom.STAYS_ON.value, STAYS_ON, caller="the gate house")),
        (
            [two],
            Report(
                today,
                Symptom.RUNS_WITH.value,
                RUNS_WITH,
                caller="the groundskeeper",
                runs_with=other,
                promised_on=promised,
                promised_from=since,
                promised_until=until,
            ),
        ),
        (
            [*weak],
            Report(
                today,
                Symptom.SEVERAL_WEAK.value,
                WEAK,
                caller="the grounds office",
                promised_on=promised,
                promised_from=AFTERNOON[0],
                promised_until=AFTERNOON[1],
            ),
        ),
    ]
    faults = [
        report_fault(
            place=stations[0].controller.property,
            stations=stations,
            report=report,
            by=by,
            at=at,
            today=today,
        )
        for stations, report in told
    ]
    _plan_visits(faults, by=by, at=at, today=today, crew=crew, day=promised)
    return faults


def _plan_visits(
    faults: list[Fault], *, by: User, at: datetime, today: date, crew: Crew, day: date
) -> None:
    """The first two visits are planned; the one that was promised goes within its times."""
    for fault in faults[:2]:
        kind = kind_for(fault)
        job = plan_job(
            place=fault.property,
            kind=kind.value,
            facts=facts_for(kind, fault),
            fault=fault,
            by=by,
            today=today,
        )
        if fault == faults[1]:
            assign_job(
                job=job,
                crew=crew,
                day=day,
                starts_at=PROMISED[0],
                by=by,
                at=at,
                today=today,
                why="the other van's tracer comes along",
            )


def _free_stations() -> list[Station]:
    """Stations in care of one controller with a wire for each, whose way is known, without a fault.

    Of the controller that has the most of them.
    """
    taken = FaultStation.objects.exclude(stage__in=CLOSED_STAGES).values("station")
    rows = (
        Station.objects.in_care()
        .exclude(pk__in=taken)
        .exclude(controller__wiring=Wiring.TWO_WIRE)
        .filter(feeds__to_on__isnull=True, feeds__wire__lies__isnull=False, stopgaps__isnull=True)
        .select_related("controller__property")
        .distinct()
        .order_by("controller__property__code", "controller__name", "number", "pk")
    )
    by_clock: dict[int, list[Station]] = {}
    for station in rows:
        by_clock.setdefault(station.controller_id, []).append(station)
    return max(by_clock.values(), key=len, default=[])
