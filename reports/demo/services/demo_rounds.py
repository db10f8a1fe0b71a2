"""The demo's rounds: a station walk that is half done, and those that come with the season."""

from datetime import date, datetime, timedelta

from faults.cases.services.report import Report, report_fault
from faults.models import CLOSED_STAGES, Crew, FaultStation, Job, JobKind, WalkResult
from faults.readings.services.checkup import walk
from faults.rounds.engines.turns import rule_of
from faults.rounds.services.leaving import leave_out
from faults.rounds.services.making import make_round
from faults.rounds.services.of_job import progress_of_job
from faults.rounds.services.planning import plan_visits
from faults.rounds.services.told import RoundFacts, StopFacts
from faults.work.services import assign_job, finish_job, start_job
from sites.models import Property, Station, Stopgap, User, today_at

WALKED, TO_WALK, LATER = "Teasel Mile", "Yewmantle Rest", "Larkmoor School"
WITH_A_SEASON = ("Brindle Oval", "Windlespur")
DAYS_AGO = 3
LEFT = ("locked", "no time")


def make_demo_rounds(
    *, by: User, hand: User, at: datetime, today: date, crew: Crew, day: date
) -> None:
    """Make the rounds; the walk of the first property was made yesterday, the second is sent.

    Args:
        hand: the technician who walked. crew, day: who walks the second, and when.
    """
    for name, purpose, before in (
        ("Shut-down", JobKind.SHUT_DOWN, 0),
        ("Batteries before shut-down", JobKind.BATTERIES, 21),
    ):
        facts = RoundFacts(name, purpose.value, "season end", today, days_before=before)
        make_round(facts=facts, stops=_stops(*WITH_A_SEASON), by=by, today=today)
    first = today - timedelta(days=DAYS_AGO)
    facts = RoundFacts(
        name="Half-yearly station walk",
        purpose=JobKind.WALK.value,
        repeats="interval",
        rule=rule_of(6, "months", first),
        starts_on=first,
        within_days=21,
        minutes_each=4,
        crew=crew,
    )
    the_round = make_round(facts=facts, stops=_stops(WALKED, TO_WALK, LATER), by=by, today=today)
    visits = plan_visits(the_round=the_round, until=today, by=by, at=at, today=today)
    jobs = {visit.property.code: visit.job for visit in visits if visit.job is not None}
    if WALKED in jobs:
        _walk(jobs[WALKED], crew, by=hand, at=at - timedelta(days=1))
    if TO_WALK in jobs:
        assign_job(job=jobs[TO_WALK], crew=crew, day=day, by=by, at=at, today=today)


def _stops(*codes: str) -> list[StopFacts]:
    places = {place.code: place for place in Property.objects.in_care().filter(code__in=codes)}
    return [StopFacts(places[code]) for code in codes if code in places]


def _walk(job: Job, crew: Crew, *, by: User, at: datetime) -> None:
    """Walk all stations but the last three; two have a reason, and one of those seen is dead."""
    on = today_at(job.property, at)
    job.crew, job.day = crew, on
    job.save()
    start_job(job=job, at=at, today=on, by=by)
    things = [each.thing for each in progress_of_job(job)[0].targets]
    stations = [thing for thing in things if isinstance(thing, Station)]
    seen, unseen = stations[: -len(LEFT) - 1], stations[-len(LEFT) - 1 : -1]
    on_timer = set(
        Stopgap.objects.open()
        .off_central()
        .filter(station__in=seen)
        .values_list("station", flat=True)
    )
    dead = _without_fault([one for one in seen if one.pk not in on_timer])
    results = [(one, _result(one, dead, on_timer), "") for one in seen]
    walk(seen=results, seen_on=on, today=on, by=by)
    if dead is not None:
        told = Report(reported_on=on, summary="seen not to work: station walk")
        report_fault(place=job.property, stations=[dead], report=told, by=by, at=at, today=on)
    for station, why in zip(unseen, LEFT, strict=False):
        leave_out(job=job, thing=station, why=why, on=on, by=by, today=on)
    finish_job(job=job, actual_minutes=170, at=at, by=by)


def _without_fault(stations: list[Station]) -> Station | None:
    open_ones = FaultStation.objects.filter(station__in=stations).exclude(stage__in=CLOSED_STAGES)
    faulty = set(open_ones.values_list("station", flat=True))
    return next((one for one in stations if one.pk not in faulty), None)


def _result(station: Station, dead: Station | None, on_timer: set[int]) -> str:
    if station.pk in on_timer:
        return WalkResult.TIMER.value
    return WalkResult.DEAD.value if station == dead else WalkResult.WORKS.value
