"""The rows of a station's ledger, and the meter of each spell: sums over its months."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple

from django.conf import settings

from sites.models import Meter
from sites.stopgaps.engines.spells import Interval
from sites.water.engines import rain
from sites.water.engines.inputs import Note
from sites.water.engines.money import days_in_month, month_cost
from sites.water.engines.months import months, next_month
from sites.water.services.gathered import Gathered, SpellDays

SUMS = ("applied_gal", "needed_gal", "excess_gal", "shortfall_gal", "cost")
KEPT_OF_METER = [
    *("counted_until", "months", "months_known", "months_priced", *SUMS),
    *("month_excess_gal", "month_cost", "lacks"),
]
PRICE = "price"
ONE_DAY = timedelta(days=1)


class LedgerRow(NamedTuple):
    """One row of the ledger as it is computed: light, because a round makes a million."""

    station_id: int
    month: date
    days: int
    applied_gal: float | None
    needed_gal: float | None
    excess_gal: float | None
    shortfall_gal: float | None
    cost: float | None
    lacks: str
    notes: str
    table: str


KEPT = LedgerRow._fields[2:]


def effective_rain() -> Callable[[float], float]:
    """Return the rule by which rain counts, as the settings name it."""
    return rain.BY_NAME[settings.EFFECTIVE_RAIN]


def ledger_of(one: Gathered, *, until: date, since: date = date.min) -> list[LedgerRow]:
    """Return the rows of a station's months before `until`, from that which begins on `since`."""
    rows = []
    for month in months(
        one.water, one.climate, until=until, since=since, effective=effective_rain()
    ):
        excess_gal = month.excess_gal
        days = days_in_month(one.water.off, month.month, until) if excess_gal else ()
        notes = month.notes | _notes_on_price(one, days, until)
        rows.append(
            LedgerRow(
                one.pk,
                month.month,
                month.days,
                month.applied_gal,
                month.needed_gal,
                excess_gal,
                month.shortfall_gal,
                month_cost(excess_gal, one.prices, days),
                ";".join(sorted(month.lacks)),
                ";".join(sorted(notes)),
                month.table,
            )
        )
    return rows


def _notes_on_price(one: Gathered, days: Sequence[Interval], until: date) -> frozenset[Note]:
    """Say where a price without a first day is taken for a year that is over."""
    old = [each for each in days if each.from_on.year < until.year]
    undated = [price for price in one.prices if price.days.from_on == date.min]
    used = any(price.days.holds(each.from_on) for price in undated for each in old)
    return frozenset({Note.PRICE}) if used else frozenset()


def meters_of(one: Gathered, ledger: Sequence[LedgerRow], *, until: date) -> list[Meter]:
    """Return the unsaved meters of a station's spells.

    A month that holds days of one spell is its row of the ledger. Of two spells in a month each
    has the water that flowed on its own days, and the need and rain of these: a valve that is
    shut off is never shown what a timer gave before.
    """
    shared = _shared_months(one, until)
    meters = []
    for spell in one.spells:
        mine = {row.month: row for row in ledger if _lies_in(row.month, spell.days, until)}
        if shared & mine.keys():
            mine = {row.month: row for row in ledger_of(_alone(one, spell), until=until)}
        meters.append(
            meter_over(
                spell.pk,
                list(mine.values()),
                until=until if spell.days.to_on is None else min(spell.days.to_on, until),
                is_open=spell.days.to_on is None,
            )
        )
    return meters


def _shared_months(one: Gathered, until: date) -> set[date]:
    """Return the months in which two spells have days."""
    firsts, shared = set[date](), set[date]()
    for spell in one.spells:
        end = until if spell.days.to_on is None else min(spell.days.to_on, until)
        ends = {spell.days.from_on.replace(day=1), (end - ONE_DAY).replace(day=1)}
        # Spells never overlap, so no two share a month in which neither begins or ends.
        shared |= ends & firsts
        firsts |= ends
    return shared


def _alone(one: Gathered, spell: SpellDays) -> Gathered:
    """Return the station as if it had been off in one spell only."""
    mine = [off for off in one.water.off if spell.days.holds(off.days.from_on)]
    return replace(one, water=replace(one.water, off=mine))


def _lies_in(month: date, days: Interval, until: date) -> bool:
    end = until if days.to_on is None else min(days.to_on, until)
    return month < end and days.from_on < next_month(month)


def meter_over(spell_id: int, rows: Sequence[LedgerRow], *, until: date, is_open: bool) -> Meter:
    """Return the unsaved meter of one spell over the rows of its months."""
    known = [row for row in rows if row.excess_gal is not None]
    priced = [row for row in known if row.cost is not None]
    sums = {name: _sum(name, priced if name == "cost" else known) for name in SUMS}
    if not rows:
        sums = dict.fromkeys(SUMS, 0.0)
    lacks = {each for row in rows for each in row.lacks.split(";") if each}
    if len(priced) < len(known):
        lacks.add(PRICE)
    now = [row for row in rows if row.month == until.replace(day=1)]
    return Meter(
        spell_id=spell_id,
        counted_until=until,
        months=len(rows),
        months_known=len(known),
        months_priced=len(priced),
        month_excess_gal=_now("excess_gal", now) if is_open else None,
        month_cost=_now("cost", now) if is_open else None,
        lacks=";".join(sorted(lacks)),
        **sums,
    )


def _sum(name: str, rows: Sequence[LedgerRow]) -> float | None:
    """Add up what is known; nothing known is not 0."""
    return sum(getattr(row, name) for row in rows) if rows else None


def _now(name: str, rows: Sequence[LedgerRow]) -> float | None:
    """This month so far: 0 before its first day is over, None where it is not known."""
    if not rows:
        return 0.0
    value: float | None = getattr(rows[0], name)
    return value
