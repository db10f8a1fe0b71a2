"""The overtime of the board as it stands and of a suggested rota, and what it costs."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.cases.engines.working import on_working_clock
from faults.cases.services.working_days import minute_of, overtime_costs
from faults.models import Crew, Job
from faults.rota.engines.planning import Plan, Planned
from faults.rota.engines.problem import Shift
from faults.rota.services.gathering import Gathered
from faults.work.services.spending_words import money_words


def overtime_of(gathered: Gathered, made: Plan) -> dict[str, Any]:
    """Return minutes of overtime and what they cost, as it stands and as it is suggested; None
    where there is none in either."""
    before = [
        (gathered.crew(shift.key), over)
        for shift in gathered.problem.shifts
        if (over := _as_it_stands(gathered, shift))
    ]
    after = [(gathered.crew(route.shift), route.overtime) for route in made.routes]
    after = [(crew, over) for crew, over in after if over]
    return {
        "is_any": bool(before or after),
        "before": sum(over for _crew, over in before),
        "after": sum(over for _crew, over in after),
        "before_costs": _costs(before),
        "after_costs": _costs(after),
        "weighs": sum(route.overtime_cost for route in made.routes),
    }


def of_route(gathered: Gathered, route: Planned) -> dict[str, Any]:
    """Return the minutes of overtime of one crew's day, and what they cost; empty where none."""
    costs = _costs([(gathered.crew(route.shift), route.overtime)]) if route.overtime else ""
    return {"overtime_minutes": route.overtime, "overtime_costs": costs}


def route_words(route: Mapping[str, Any], *, may_see_costs: bool) -> str:
    """Return the overtime of one crew's day as its page says it; empty where there is none."""
    # One that was made before these were kept says nothing of it.
    minutes: int = route.get("overtime_minutes", 0)
    if not minutes:
        return ""
    if not may_see_costs:
        return ngettext("%s minute of overtime.", "%s minutes of overtime.", minutes) % minutes
    words = {"n": minutes, "costs": route["overtime_costs"]}
    return (
        ngettext(
            "%(n)s minute of overtime: %(costs)s.", "%(n)s minutes of overtime: %(costs)s.", minutes
        )
        % words
    )


def there_now(gathered: Gathered, shift: Shift) -> list[Job]:
    """Return the jobs that are planned of a shift as it stands, in the order of the board: by their
    times, those without one last."""
    there = [
        job
        for key, job in gathered.jobs.items()
        if gathered.key_of(job) == shift.key and key in gathered.problem.by_key
    ]
    return sorted(there, key=lambda job: (job.starts_at is None, job.starts_at or 0, job.pk))


def _as_it_stands(gathered: Gathered, shift: Shift) -> int:
    now, at = shift.starts, shift.place
    there = there_now(gathered, shift)
    for job in there:
        task = gathered.problem.by_key[job.pk]
        now += gathered.problem.travel[at][task.place]
        if job.starts_at is not None:
            rests = gathered.on(shift.key).rests
            now = max(now, on_working_clock(minute_of(job.starts_at), rests))
        now, at = now + task.minutes, task.place
    back = now + gathered.problem.travel[at][shift.place]
    return max(0, back - shift.ends) if there else 0


def _costs(of: Iterable[tuple[Crew, int]]) -> str:
    """Return money by currency; what has no price is said, never left out."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    unknown = 0
    for crew, minutes in of:
        costs = overtime_costs(crew, minutes)
        if costs is None:
            unknown += minutes
        else:
            sums[crew.costs_currency] += costs
    words = [money_words(sums[currency], currency) for currency in sorted(sums)]
    if unknown:
        words.append(_("not known for %s min") % unknown)
    return ", ".join(words)
