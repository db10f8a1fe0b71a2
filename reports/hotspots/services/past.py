"""What faults cost this company so far: hours, what it charged, water, and what it had to pay."""

from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F
from django.utils import timezone
from django.utils.translation import ngettext

from faults.cases.engines.stages import Stage
from faults.cases.services.man_hours import day_of, visits_made
from faults.cases.services.spending import booked_lines, money_of
from faults.models import Fault, FaultStation, Job, JobLine
from faults.prices.services.holding import PriceBook
from reports.hotspots.engines.past import past_cost
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.models import Meter, Property, User, today_at

YEARS = 5
# Older ones say less of today's prices, and a mean needs no more.
MOST_FAULTS = 400
# One bad afternoon would be half of the answer.
LEAST_FAULTS = 3


@dataclass(frozen=True)
class Past:
    """The mean cost of one fault, the error of that mean, and of how many faults it is.

    `sd` is how far the costs of single faults lie from the mean. `left_out` had no visit, no
    price, or another currency. For `paid_for` of them a client was paid, as agreed.
    """

    mean: float
    se: float
    sd: float
    faults: int
    left_out: int
    currency: str
    paid_for: int = 0


def past_at(place: Property, user: User) -> Past | None:
    """Return what a fault cost at all properties whose prices the user sees, this one among them.

    None where too few are known, or where this property is counted in another currency.
    """
    priced = list(properties_for(user, Action.SEE_RATES).order_by("pk"))
    book = PriceBook.of(priced)
    past = past_of(priced, today=timezone.localdate(), book=book)
    currency = book.at(place, today_at(place)).currency
    return past if past is not None and past.currency == currency else None


def errors_of(fault_cost: float, past: Past | None) -> tuple[float, float]:
    """Return the error of what one fault costs, and how far single faults lie from it.

    A cost that was typed is taken as known; that of the own past is not. Either way single
    faults differ as they did so far. Every page that weighs a renewal asks here.
    """
    if past is None:
        return 0.0, 0.0
    is_own = round(fault_cost) == round(past.mean)
    return (past.se if is_own else 0.0), past.sd


def past_words(past: Past) -> str:
    """Say what a fault cost, how sure that is, and what it leaves out."""
    words = {
        "n": past.faults,
        "mean": f"{past.mean:,.0f}",
        "se": f"{past.se:,.0f}",
        "currency": past.currency,
    }
    said = ngettext(
        "One fault of the last five years, with its visits, charges and water, cost "
        "%(mean)s ± %(se)s %(currency)s.",
        "%(n)s faults of the last five years, with their visits, charges and water, cost "
        "%(mean)s ± %(se)s %(currency)s each.",
        past.faults,
    ) % words  # fmt: skip
    if past.paid_for:
        paid = ngettext(
            "For %(n)s of them the client was paid, as agreed: that is in it.",
            "For %(n)s of them the client was paid, as agreed: that is in it.",
            past.paid_for,
        )
        said = f"{said} {paid % {'n': past.paid_for}}"
    if not past.left_out:
        return said
    more = ngettext(
        "One more has no visit or no price.",
        "%(n)s more have no visit or no price.",
        past.left_out,
    )
    return f"{said} {more % {'n': past.left_out}}"


def past_of(
    places: Sequence[Property], *, today: date, book: PriceBook | None = None
) -> Past | None:
    """Return what faults that are over cost at these properties; None where too few are known.

    Every page that says what one fault costs takes its figure from here.
    """
    faults = list(
        Fault.objects.filter(property__in=places, stage=Stage.RETURNED.value)
        .filter(reported_on__gte=today - timedelta(days=365 * YEARS))
        .order_by("-reported_on", "-pk")[:MOST_FAULTS]
    )
    if len(faults) < LEAST_FAULTS:
        return None
    by_key = {place.pk: place for place in places}
    book, keys = book or PriceBook.of(places), [fault.pk for fault in faults]
    visits, members = visits_made(keys)
    visits_of: dict[int, list[Job]] = defaultdict(list)
    for job in visits:
        visits_of[job.fault_id or 0].append(job)
    lines_of: dict[int, list[JobLine]] = defaultdict(list)
    for line in booked_lines(keys):
        lines_of[line.job.fault_id or 0].append(line)
    water, costs = _water(keys), defaultdict[str, list[float]](list)
    paid_for = Counter[str]()
    for fault in faults:
        if not visits_of[fault.pk]:
            continue
        place = by_key[fault.property_id]
        # As the money of a visit: at the prices of its own day, not of the report's.
        prices = book.at(place, max(day_of(job) for job in visits_of[fault.pk]))
        money = money_of(
            visits_of[fault.pk],
            lines_of[fault.pk],
            members,
            lambda day, place=place: book.at(place, day),  # type: ignore[misc]
        )
        if not money.not_priced:
            cost = float(money.amount + (fault.penalty or 0)) + water.get(fault.pk, 0.0)
            costs[prices.currency].append(cost)
            paid_for[prices.currency] += bool(fault.penalty)
    return _of(costs, len(faults), paid_for)


def _of(costs: dict[str, list[float]], faults: int, paid_for: Counter[str]) -> Past | None:
    """Take the currency of most faults: money of two has no mean."""
    if not costs:
        return None
    currency = max(sorted(costs), key=lambda each: len(costs[each]))
    found = past_cost(costs[currency])
    if found is None or len(costs[currency]) < LEAST_FAULTS:
        return None
    n = len(costs[currency])
    return Past(*found, n, faults - n, currency, paid_for[currency])


def _water(faults: Collection[int]) -> dict[int, float]:
    """Return what the water of the days off central cost, as far as it is known.

    A spell belongs to the fault that was reported while it went on.
    """
    rows = FaultStation.objects.filter(fault__in=faults).values_list(
        "fault", "station", "fault__reported_on"
    )
    stations = {station for _fault, station, _on in rows}
    meters = Meter.objects.filter(spell__station__in=stations, cost__isnull=False)
    spells: dict[int, list[tuple[date, date | None, float]]] = defaultdict(list)
    for station, start, end, cost in meters.annotate(
        start=F("spell__from_on"), end=F("spell__to_on")
    ).values_list("spell__station", "start", "end", "cost"):
        spells[station].append((start, end, cost or 0.0))
    found: dict[int, float] = defaultdict(float)
    for fault, station, on in rows:
        for start, end, cost in spells[station]:
            if start <= on and (end is None or on < end):
                found[fault] += cost
    return found
