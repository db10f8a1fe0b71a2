"""Make rounds and their visits, with defaults that hold; name only what the test is about."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from faults.models import JobKind, LeftOut, Round, RoundVisit
from faults.rounds.services.making import make_round
from faults.rounds.services.planning import plan_visits
from faults.rounds.services.told import RoundFacts, StopFacts
from sites.kernel.engines.roles import Role
from sites.models import Property, Station, User
from tests import make, make_jobs


def facts(**given: Any) -> RoundFacts:
    """Say a station walk that comes once, from make.TODAY on."""
    defaults = {
        "name": "The walk",
        "purpose": JobKind.WALK.value,
        "repeats": "once",
        "starts_on": make.TODAY,
    }
    return RoundFacts(**{**defaults, **given})


def round_over(
    *places: Property, by: User | None = None, stations: Sequence[Station] = (), **given: Any
) -> Round:
    """Make a round over these properties; `stations` are those of the first."""
    stops = [StopFacts(place) for place in places]
    if stations:
        stops[0] = StopFacts(places[0], tuple(stations))
    user = by or make.user(Role.DISPATCHER)
    return make_round(facts=facts(**given), stops=stops, by=user, today=make.TODAY)


def planned(
    the_round: Round, *, until: date = make.TODAY, at: datetime = make.NOW
) -> list[RoundVisit]:
    """Plan what begins by a day."""
    return plan_visits(
        the_round=the_round, until=until, by=the_round.made_by, at=at, today=at.date()
    )


def left_out(**given: Any) -> LeftOut:
    """Leave a station of a new walk out, because of a locked gate."""
    where = given.pop("station", None) or make.station()
    job = given.pop("job", None) or make_jobs.job(
        property=where.controller.property, kind=JobKind.WALK, stations=[where]
    )
    defaults = {"job": job, "station": where, "why": "locked", "on": make.TODAY}
    return LeftOut.objects.create(**{**defaults, **given})
