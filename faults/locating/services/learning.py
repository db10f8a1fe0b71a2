"""Once a day: what the company's finished searches say of the numbers that searches assume."""

from collections.abc import Callable, Iterator
from datetime import date, datetime

from django.db import transaction

from faults.locating.engines.learning import Learned, learn
from faults.locating.engines.learning_evidence import Finished
from faults.locating.engines.line import Leg as LegOfLine
from faults.locating.services.evidence import finished_from
from faults.locating.services.numbers import Assumed, assumed_now
from faults.models import Break, LearnedNumber, Search, SearchOutcome
from sites.models import Leg, Property, Renewal

# The newest this many: crews, tools and ground change, and a round must end.
MOST_SEARCHES = 3000
CHUNK = 200
TELLING = (SearchOutcome.FOUND, SearchOutcome.NOT_THE_WIRE)


def learn_from_searches(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Recompute the learned numbers and store them beside the built-in ones; no default changes."""
    assumed = assumed_now()
    learned = learn(list(_finished(assumed, go_on)), assumed.tests, _legs(assumed, at))
    _keep(learned, at)
    return {"searches": learned.searches, "numbers": len(learned.numbers)}


def _finished(assumed: Assumed, go_on: Callable[[], None]) -> Iterator[Finished]:
    rows = (
        Search.objects.filter(outcome__in=TELLING)
        .select_related("fault", "found")
        .prefetch_related("readings")
        .order_by("-ended_at", "-pk")[:MOST_SEARCHES]
    )
    for n, search in enumerate(rows.iterator(chunk_size=CHUNK)):
        if n % CHUNK == 0:
            go_on()
        one = finished_from(search, assumed.tests)
        if one is not None:
            yield one


def _legs(assumed: Assumed, at: datetime) -> list[LegOfLine]:
    """All legs in the ground as one: feet and years add up, and so do faults.

    Only properties that say since when faults were written down; a renewal restarts the count.
    """
    today = at.date()
    since = dict(
        Property.objects.filter(records_since__isnull=False).values_list("pk", "records_since")
    )
    renewed: dict[int, date] = {}
    rows = (
        Leg.objects.in_ground()
        .filter(property__in=since)
        .values_list("pk", "property_id", "length_ft", "cover", "in_conduit", "observed_from")
    )
    for leg, renewed_on in Renewal.objects.values_list("leg_id", "on"):
        renewed[leg] = max(renewed_on, renewed.get(leg, renewed_on))
    starts: dict[int, date] = {}
    foot_years = 0.0
    for leg, place, feet, cover, in_conduit, observed in rows.iterator(chunk_size=5000):
        days = (since[place], observed, renewed.get(leg))
        start = max(day for day in days if day is not None)
        starts[leg] = start
        factor = assumed.ground.hazard(cover, in_conduit=bool(in_conduit))
        foot_years += feet * max((today - start).days, 0) / 365.25 * factor
    faults = sum(
        leg in starts and (on is None or on >= starts[leg])
        for leg, on in Break.objects.filter(leg__isnull=False).values_list("leg_id", "found_on")
    )
    return [LegOfLine("all", foot_years, years=1.0, faults=float(faults))] if foot_years else []


def _keep(learned: Learned, at: datetime) -> None:
    with transaction.atomic():
        names = [number.name for number in learned.numbers]
        LearnedNumber.objects.exclude(name__in=names).delete()
        for number in learned.numbers:
            LearnedNumber.objects.update_or_create(
                name=number.name,
                defaults={
                    "learned": number.learned,
                    "evidence": number.evidence,
                    "searches": learned.searches,
                    "learned_at": at,
                },
            )
