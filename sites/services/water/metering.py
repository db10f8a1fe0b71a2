"""The meter of each spell: sums over the months of its station's ledger."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from sites.engines.spells import Interval
from sites.engines.water.months import next_month
from sites.models import Meter
from sites.services.water.gathered import Gathered

SUMS = ("applied_gal", "needed_gal", "excess_gal", "shortfall_gal", "cost")
KEPT_OF_METER = [
    *("counted_until", "months", "months_known", "months_priced", *SUMS),
    *("month_excess_gal", "month_cost", "lacks"),
]
PRICE = "price"


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


def meters_of(one: Gathered, ledger: Sequence[LedgerRow], *, until: date) -> list[Meter]:
    """Return the unsaved meters of a station's spells.

    A month that holds days of two spells is one row of the ledger, because excess is pooled over
    the month: each spell takes its share of it by days.
    """
    return [
        meter_over(
            spell.pk,
            [(row, share(row, spell.days, until)) for row in ledger],
            until=until if spell.days.to_on is None else min(spell.days.to_on, until),
            is_open=spell.days.to_on is None,
        )
        for spell in one.spells
    ]


def share(row: LedgerRow, days: Interval, until: date) -> float:
    """Return which part of a month's days off central lies in these days."""
    start = max(row.month, days.from_on)
    end = min(day for day in (next_month(row.month), days.to_on, until) if day is not None)
    return max(0, (end - start).days) / row.days


Shares = Iterable[tuple[LedgerRow, float]]


def meter_over(spell_id: int, rows: Shares, *, until: date, is_open: bool) -> Meter:
    """Return the unsaved meter of one spell over rows of the ledger and its part of each."""
    mine = [(row, part) for row, part in rows if part > 0]
    known = [(row, part) for row, part in mine if row.excess_gal is not None]
    priced = [(row, part) for row, part in known if row.cost is not None]
    sums = {name: _sum(name, priced if name == "cost" else known) for name in SUMS}
    if not mine:
        sums = dict.fromkeys(SUMS, 0.0)
    lacks = {each for row, _ in mine for each in row.lacks.split(";") if each}
    if len(priced) < len(known):
        lacks.add(PRICE)
    now = [(row, part) for row, part in mine if row.month == until.replace(day=1)]
    return Meter(
        spell_id=spell_id,
        counted_until=until,
        months=len(mine),
        months_known=len(known),
        months_priced=len(priced),
        month_excess_gal=_now("excess_gal", now) if is_open else None,
        month_cost=_now("cost", now) if is_open else None,
        lacks=";".join(sorted(lacks)),
        **sums,
    )


def _sum(name: str, rows: Sequence[tuple[LedgerRow, float]]) -> float | None:
    """Add up what is known; nothing known is not 0."""
    return sum(getattr(row, name) * part for row, part in rows) if rows else None


def _now(name: str, rows: Sequence[tuple[LedgerRow, float]]) -> float | None:
    """This month so far: 0 before its first day is over, None where it is not known."""
    if not rows:
        return 0.0
    ((row, part),) = rows
    value: float | None = getattr(row, name)
    return None if value is None else value * part
