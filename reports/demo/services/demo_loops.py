"""The demo's bring-home tests: what was read at one property yesterday, and the round to come."""

from datetime import date, datetime, timedelta

from faults.models import Crew, JobKind
from faults.readings.forms.meter import OPEN_OHMS
from faults.readings.services.bring_home import Home, homes_of
from faults.readings.services.loops import LoopRead, read_loops, stations_to_read
from faults.work.services.assigning import assign_job
from faults.work.services.defaults import facts_for
from faults.work.services.planning import plan_job
from sites.models import Property, User

# By how many standard errors each test read beside what it should; None = an open loop.
OFF_BY: tuple[float | None, ...] = (0.4, None, -0.7, 0.2, 1.3, None)
LEAST_TO_READ = len(OFF_BY) + 2


def make_demo_loops(*, by: User, at: datetime, today: date, crew: Crew, day: date) -> None:
    """Read some loops at the property with the most to read, and plan a round over the rest.

    A second call would read them once more: the caller makes the work once.
    """
    found = _place(today)
    if found is None:
        return
    place, homes = found
    tests = [_test(home, off_by) for home, off_by in zip(homes, OFF_BY, strict=False)]
    yesterday = today - timedelta(days=1)
    read_loops(loops=tests, taken_on=yesterday, today=today, by=by, taken_by=by.first_name)
    round_of_loops = plan_job(
        place=place,
        kind=JobKind.BRING_HOME.value,
        facts=facts_for(JobKind.BRING_HOME),
        by=by,
        today=today,
    )
    assign_job(job=round_of_loops, crew=crew, day=day, by=by, at=at, today=today)


def _place(today: date) -> tuple[Property, list[Home]] | None:
    """Return the property where most wires have ohms to expect, with those homes as one walks."""
    best: tuple[Property, list[Home]] | None = None
    for place in Property.objects.in_care().order_by("code"):
        homes = homes_of(stations_to_read(place), today=today)
        readable = [home for home in homes if home.expected_ohms is not None]
        if len(readable) >= LEAST_TO_READ and (best is None or len(readable) > len(best[1])):
            best = place, readable
    return best


def _test(home: Home, off_by: float | None) -> LoopRead:
    if off_by is None or home.expected_ohms is None or home.expected_sd is None:
        return LoopRead(home.known.station, OPEN_OHMS, is_open_apart=True)
    ohms = home.expected_ohms + off_by * home.expected_sd
    return LoopRead(home.known.station, round(ohms, 1), is_open_apart=True)
