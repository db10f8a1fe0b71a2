"""Plan the visits of rounds: each turn at each property once, by hand or ahead of its day."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from faults.models import OPEN_JOB_STATES, Job, JobKind, JobState, Round, RoundStop, RoundVisit
from faults.rounds.engines.turns import Made, Season, Turn, turn_to_plan, turns_of
from faults.rounds.services.targets import targets_of
from faults.rounds.services.told import UnableToPlanRound, rhythm_of, season_of
from faults.work.services import plan_job
from faults.work.services.defaults import facts_for
from faults.work.services.rules import MOST_MINUTES
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import as_one_change, verb
from sites.models import User, today_at

# The dispatcher fills the board some weeks ahead.
PLAN_AHEAD_DAYS = 28
LOOKS_BACK_DAYS = 800
MOST_AHEAD_DAYS = 400


@dataclass(frozen=True)
class Coming:
    """The next turn of a round at one of its properties; None = none comes, and why."""

    stop: RoundStop
    turn: Turn | None
    why: str = ""


@verb(
    name="plan the visits of a round",
    action=Action.PLAN_JOBS,
    guard="it has not ended; a day not more than 400 days ahead; something begins by then that is "
    "not planned, and no earlier visit there is still open",
    undo="withdraw the jobs one by one",
)
def plan_visits(
    *, the_round: Round, until: date, by: User, at: datetime, today: date
) -> list[RoundVisit]:
    """Plan a visit to each property whose next turn begins by a day."""
    if the_round.ended_on is not None:
        raise UnableToPlanRound(_("This round has ended. Let it go on first."))
    if not until - today <= timedelta(days=MOST_AHEAD_DAYS):
        raise UnableToPlanRound(_("Choose a day within %s days.") % MOST_AHEAD_DAYS, field="until")
    made = _plan(the_round, by=by, at=at, until=lambda _today: until)
    if not made:
        raise UnableToPlanRound(
            _("Nothing of this round begins by then that is not planned already."), field="until"
        )
    return made


def plan_rounds_ahead(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Plan what begins within four weeks, of all rounds: found again at every call."""
    planned = 0
    for key in list(Round.objects.running().order_by("pk").values_list("pk", flat=True)):
        planned += _plan_ahead(key, at)
        go_on()
    return {"planned": planned}


def _plan_ahead(key: int, at: datetime) -> int:
    """Plan what begins within four weeks, in the name of who made the round."""
    with as_one_change():
        the_round = Round.objects.select_for_update().get(pk=key)
        if the_round.ended_on is not None:
            return 0
        ahead = timedelta(days=PLAN_AHEAD_DAYS)
        by = the_round.made_by
        return len(_plan(the_round, by=by, at=at, until=lambda today: today + ahead))


def _plan(
    the_round: Round, *, by: User, at: datetime, until: Callable[[date], date]
) -> list[RoundVisit]:
    made = []
    for coming in coming_of(the_round, at=at, until=until):
        if coming.turn is not None:
            made.append(_plan_one(the_round, coming.stop, coming.turn, by, at))
    return made


def coming_of(
    the_round: Round, *, at: datetime, until: Callable[[date], date] | None = None
) -> list[Coming]:
    """Return what comes next at each property of a round, in the order of going.

    Args:
        until: up to which day, of today there; None = whatever comes within two years.
    """
    stops = stops_in_order(the_round)
    visits: dict[int, list[RoundVisit]] = {}
    for visit in the_round.visits.select_related("job", "property").order_by("begins_on", "pk"):
        visits.setdefault(visit.property_id, []).append(visit)
    known: dict[tuple[Season | None, date, date], list[Turn]] = {}
    found = []
    for stop in stops:
        place = stop.property
        today, mine = today_at(place, at), [made_of(each) for each in visits.get(place.pk, ())]
        last = until(today) if until is not None else today + timedelta(days=LOOKS_BACK_DAYS)
        since = min(the_round.starts_on, today) - timedelta(days=LOOKS_BACK_DAYS)
        season = season_of(place)
        # Most properties share their turns: an interval is worked out once for all of them.
        if (season, since, last) not in known:
            known[season, since, last] = turns_of(
                rhythm_of(the_round), season, since=since, until=last
            )
        turns = known[season, since, last]
        turn = turn_to_plan(turns, mine, today=today, until=last)
        found.append(Coming(stop, turn, "" if turn else _why_none(the_round, stop, mine)))
    return found


def stops_in_order(the_round: Round) -> list[RoundStop]:
    """Return the properties in care of a round, in the order of going."""
    rows = the_round.stops.filter(taken_out_on=None, property__retired_on=None)
    return list(
        rows.select_related("property__client").prefetch_related("chosen").order_by("number", "pk")
    )


def _why_none(the_round: Round, stop: RoundStop, made: Sequence[Made]) -> str:
    if any(each.is_open for each in made):
        return _("its visit is still open")
    by_season = the_round.repeats in ("season start", "season end")
    if by_season and season_of(stop.property) is None:
        return _("no start-up and shut-down days are entered for this property")
    return ""


def made_of(visit: RoundVisit) -> Made:
    """Return a visit as the rule of turns takes it."""
    job = visit.job
    if job is None:
        return Made(visit.turn, visit.begins_on, is_open=False)
    ended = None
    if job.state == JobState.DONE and job.ended_at is not None:
        ended = job.ended_at.astimezone(ZoneInfo(visit.property.time_zone)).date()
    return Made(visit.turn, visit.begins_on, job.state in OPEN_JOB_STATES, ended)


def _plan_one(the_round: Round, stop: RoundStop, turn: Turn, by: User, at: datetime) -> RoundVisit:
    place = stop.property
    chosen = [each.station_id for each in stop.chosen.all()]
    stations, devices = targets_of(the_round.purpose, place, chosen)
    job = None
    if stations or devices:
        total = len(stations) + len(devices)
        usual = facts_for(JobKind(the_round.purpose))
        minutes = usual.expected_minutes
        if the_round.minutes_each is not None:
            minutes = min(the_round.minutes_each * total, MOST_MINUTES)
        job = plan_job(
            place=place,
            kind=the_round.purpose,
            facts=replace(
                usual,
                expected_minutes=minutes,
                earliest_on=turn.begins_on,
                due_on=turn.due_on,
                notes=the_round.notes,
            ),
            stations=stations,
            devices=devices,
            by=by,
            today=today_at(place, at),
        )
    return RoundVisit.objects.create(
        round=the_round,
        property=place,
        turn=turn.name,
        begins_on=turn.begins_on,
        due_on=turn.due_on,
        job=job,
    )


@verb(
    name="plan what a visit left",
    action=Action.PLAN_JOBS,
    guard="the visit is done; something of it was left; no visit for that is planned already",
    undo="withdraw a job",
)
def plan_what_was_left(
    *, job: Job, stations: Sequence[int], devices: Sequence[int], by: User, today: date
) -> Job:
    """Plan another visit to what a finished one left: it belongs to the same turn."""
    if job.state != JobState.DONE:
        raise UnableToPlanRound(_("This visit is not done yet: what is left can still be done."))
    if job.parts.filter(state__in=OPEN_JOB_STATES).exists():
        raise UnableToPlanRound(_("Another visit for what was left is planned already."))
    rows = list(job.stations.filter(pk__in=stations).order_by("pk"))
    timers = list(job.devices.filter(pk__in=devices).order_by("pk"))
    if not rows and not timers:
        raise UnableToPlanRound(_("Nothing of this visit was left."))
    total = job.stations.count() + job.devices.count()
    minutes = max(1, round(job.expected_minutes * (len(rows) + len(timers)) / total))
    usual = facts_for(JobKind(job.kind))
    part = plan_job(
        place=job.property,
        kind=job.kind,
        facts=replace(usual, expected_minutes=minutes, notes=job.notes),
        stations=rows,
        devices=timers,
        by=by,
        today=today,
    )
    part.split_from = job
    part.save()
    return part
