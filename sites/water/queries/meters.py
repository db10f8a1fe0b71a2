"""Reads of meters and ledger: sums never hold what is not known, and say of how many it is not."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.db.models import Case, Count, F, FloatField, Q, QuerySet, Sum, When

from sites.kernel.access import properties_for, properties_where
from sites.kernel.engines.roles import Action
from sites.models import Meter, Property, SpellPart, Station, User, WaterMonth
from sites.register.queries.stations import TO_PROPERTY, off_central_now

OF_SPELL = "spell__station__controller__property"

# A property may have hundreds off; the list that can be filtered holds all of them.
MOST_METERS = 100


class Cost(NamedTuple):
    """What water cost in one currency; "" where no price list names one."""

    currency: str
    so_far: float
    this_month: float


@dataclass(frozen=True)
class Totals:
    """What stations off central have cost so far: sums of what is known, and what is not.

    `costs` are by currency, None where the user sees no prices.
    """

    stations: int
    excess_gal: float
    shortfall_gal: float
    month_excess_gal: float
    costs: tuple[Cost, ...] | None
    not_known: int
    in_part: int
    unpriced: int
    waiting: int
    inexact: int

    @property
    def is_least(self) -> bool:
        """Whether it may be more: days that are not known, or a first day that may be earlier."""
        return bool(self.unknown or self.inexact)

    @property
    def unknown(self) -> int:
        """Stations of which all, or some days, are not known."""
        return self.not_known + self.in_part


# What is summed over the meters of a property's stations that are off central now.
_SUMS = {
    "stations": Count("pk"),
    "excess": Sum("excess_gal"),
    "shortfall": Sum("shortfall_gal"),
    "month_excess": Sum("month_excess_gal"),
    "cost": Sum("cost"),
    "month_cost": Sum("month_cost"),
    "none": Count("pk", filter=Q(months_known=0, months__gt=0)),
    "some": Count("pk", filter=Q(months_known__gt=0, months_known__lt=F("months"))),
    "no_price": Count("pk", filter=Q(months_priced__lt=F("months_known"))),
    "stale": Count("pk", filter=Q(counted_until=None)),
    "inexact": Count("pk", filter=Q(spell__from_is_exact=False)),
}
Sums = Mapping[str, float | None]


def meter_sums(places: Collection[int]) -> dict[int, Sums]:
    """Return the sums over stations that are off central now, by property that has any."""
    rows = Meter.objects.filter(spell__to_on=None, **{f"{OF_SPELL}__in": places})
    found = rows.order_by().values(OF_SPELL).annotate(**_SUMS)
    return {row.pop(OF_SPELL): row for row in found}


def totals_from(sums: Mapping[int, Sums], priced: Mapping[int, str]) -> Totals:
    """Return the sums over properties; prices of those alone whose key is in `priced`.

    Args:
        priced: the currency of each.
    """

    def total(name: str, rows: Iterable[Sums]) -> float:
        return sum(row[name] or 0 for row in rows)

    every, seen = list(sums.values()), [row for key, row in sums.items() if key in priced]
    costs = [
        Cost(priced[key], float(row["cost"] or 0), float(row["month_cost"] or 0))
        for key, row in sums.items()
        if key in priced
    ]
    return Totals(
        int(total("stations", every)),
        float(total("excess", every)),
        float(total("shortfall", every)),
        float(total("month_excess", every)),
        _by_currency(costs) if total("stations", seen) else None,
        int(total("none", every)),
        int(total("some", every)),
        int(total("no_price", seen)),
        int(total("stale", every)),
        int(total("inexact", every)),
    )


def _by_currency(costs: Iterable[Cost]) -> tuple[Cost, ...]:
    """Return the sums in each currency, by its name."""
    found: dict[str, Cost] = {}
    for name, so_far, this_month in costs:
        before = found.get(name, Cost(name, 0.0, 0.0))
        found[name] = Cost(name, before.so_far + so_far, before.this_month + this_month)
    return tuple(found[name] for name in sorted(found))


def totals(user: User, place: Property, currency: str) -> Totals:
    """Return the sums over all stations of a property that are off central now."""
    seen = properties_for(user, Action.SEE_OFF_CENTRAL).filter(pk=place.pk)
    keys = list(seen.values_list("pk", flat=True))
    return totals_from(meter_sums(keys), dict.fromkeys(priced_for(user, keys), currency))


def priced_for(user: User, places: Iterable[int]) -> set[int]:
    """Return those of these properties whose prices the user sees."""
    if not (where := properties_where(user, Action.SEE_RATES)):
        return set(places)
    return set(places) & set(Property.objects.filter(where).values_list("pk", flat=True))


def totals_of(meters: Iterable[tuple[Meter, str | None]]) -> Totals:
    """Return the same sums over meters at hand, each with its currency.

    That is None where its price may not be seen.
    """
    pairs = list(meters)
    seen = [meter for meter, currency in pairs if currency is not None]
    every = [meter for meter, _currency in pairs]
    costs = [
        Cost(currency, meter.cost or 0.0, meter.month_cost or 0.0)
        for meter, currency in pairs
        if currency is not None
    ]
    unpriced = [meter for meter in seen if meter.months_priced < meter.months_known]
    return Totals(
        len(every),
        sum(meter.excess_gal or 0.0 for meter in every),
        sum(meter.shortfall_gal or 0.0 for meter in every),
        sum(meter.month_excess_gal or 0.0 for meter in every),
        _by_currency(costs) if costs else None,
        sum(meter.months > 0 and not meter.months_known for meter in every),
        sum(0 < meter.months_known < meter.months for meter in every),
        len(unpriced),
        0,
        sum(not meter.spell.from_is_exact for meter in every),
    )


def with_cost(user: User, rows: QuerySet[SpellPart]) -> QuerySet[SpellPart]:
    """Add `seen_cost` to rows: empty where the user sees no prices, so that no order tells it."""
    where = properties_where(user, Action.SEE_RATES, TO_PROPERTY)
    if not where:
        return rows.annotate(seen_cost=F("spell__meter__cost"))
    return rows.annotate(
        seen_cost=Case(
            When(where, then="spell__meter__cost"), default=None, output_field=FloatField()
        )
    )


def properties_by_excess(user: User) -> QuerySet[Property]:
    """Return the properties with a station off central, with the sums of their meters."""
    spells = "controllers__stations__spells"
    meter = f"{spells}__meter"
    unknown = Q(**{f"{meter}__months_known__lt": F(f"{meter}__months")})
    priced = properties_where(user, Action.SEE_RATES)
    return (
        properties_for(user, Action.SEE_OFF_CENTRAL)
        .filter(**{f"{spells}__isnull": False, f"{spells}__to_on__isnull": True})
        .annotate(
            off_total=Count(spells),
            excess_gal=Sum(f"{meter}__excess_gal"),
            month_excess_gal=Sum(f"{meter}__month_excess_gal"),
            shortfall_gal=Sum(f"{meter}__shortfall_gal"),
            cost=Sum(f"{meter}__cost", filter=priced),
            unknown_total=Count(spells, filter=unknown),
            inexact_total=Count(spells, filter=Q(**{f"{spells}__from_is_exact": False})),
        )
    )


def worst_by_excess(sums: Mapping[int, Sums], *, most: int) -> list[tuple[str, float]]:
    """Return code and gallons of the properties with the greatest known excess."""
    found = {place: row["excess"] or 0.0 for place, row in sums.items()}
    worst = sorted((-excess, place) for place, excess in found.items() if excess > 0)[:most]
    rows = Property.objects.filter(pk__in=[place for _excess, place in worst])
    codes = dict(rows.values_list("pk", "code"))
    return [(codes[place], -excess) for excess, place in worst]


def not_known_rows(user: User) -> QuerySet[SpellPart]:
    """Return the stations off central of whose meter something is missing."""
    prices = properties_where(user, Action.SEE_RATES, TO_PROPERTY)
    unknown = Q(spell__meter__months_known__lt=F("spell__meter__months"))
    unpriced = Q(spell__meter__months_priced__lt=F("spell__meter__months_known")) & prices
    return (
        off_central_now(user)
        .filter(unknown | unpriced)
        .select_related("station__controller__property", "spell__meter")
        .prefetch_related("station__not_written")
    )


def ledger_rows(station: Station) -> list[WaterMonth]:
    """Return a station's months, oldest first."""
    return list(WaterMonth.objects.filter(station=station).order_by("month", "pk"))


@dataclass(frozen=True)
class MonthSum:
    """One month over several stations: sums of those that are known."""

    month: date
    applied_gal: float
    needed_gal: float
    excess_gal: float
    shortfall_gal: float
    not_known: int


def month_sums(place: Property, *, most: int) -> list[MonthSum]:
    """Return a property's months over the stations that are off central now, oldest first."""
    off = SpellPart.objects.open().filter(station__controller__property=place)
    rows = (
        WaterMonth.objects.filter(station__in=off.values("station"))
        .order_by("-month")
        .values("month")
        .annotate(
            applied=Sum("applied_gal", filter=Q(excess_gal__isnull=False)),
            needed=Sum("needed_gal", filter=Q(excess_gal__isnull=False)),
            excess=Sum("excess_gal"),
            shortfall=Sum("shortfall_gal"),
            none=Count("pk", filter=Q(excess_gal=None)),
        )
    )
    found = [
        MonthSum(
            row["month"],
            row["applied"] or 0.0,
            row["needed"] or 0.0,
            row["excess"] or 0.0,
            row["shortfall"] or 0.0,
            row["none"],
        )
        for row in rows[:most]
    ]
    return found[::-1]


def meters_of_property(place: Property) -> list[SpellPart]:
    """Return the stations off central here with their meters, the most wasteful first."""
    rows = SpellPart.objects.open().filter(station__controller__property=place)
    return list(
        rows.select_related("station__controller__property", "spell__meter").order_by(
            F("spell__meter__excess_gal").desc(nulls_last=True), "spell__from_on", "pk"
        )[:MOST_METERS]
    )


def notes_of(stations: Iterable[int]) -> set[str]:
    """Return what was taken for granted in any month of these stations."""
    rows = WaterMonth.objects.filter(station__in=list(stations)).exclude(notes="")
    words = rows.order_by().values_list("notes", flat=True).distinct()[:200]
    return {note for row in words for note in row.split(";")}
