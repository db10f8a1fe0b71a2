"""Put a station's meters together for its page and its file."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.utils.translation import gettext as _

from reports.off_central.tables.today import AT_LEAST
from sites.cells.services.writing import Written
from sites.models import Meter, Property, Spell, Station, StuckOpen, WaterMonth
from sites.register.services.tariffs import tariff_now
from sites.stopgaps.engines.spells import Interval
from sites.templatetags.water import lacks_words
from sites.water.engines.constants import stuck_open_gal
from sites.water.queries.climate import stuck_open_of
from sites.water.queries.meters import MonthSum
from sites.water.services.gathered import facts_of
from sites.water.services.neighbours import Beside, beside_neighbours
from sites.water.services.visits import BatteryVisits, battery_visits

MOST_SPELLS = 12
# Comparing and counting visits is for what goes on now; older times are in the ledger.
LONGEST_AHEAD = timedelta(days=5 * 366)


@dataclass(frozen=True)
class SpellFigures:
    """One spell with its meter; `beside` and `visits` for the latest alone."""

    spell: Spell
    meter: Meter | None
    beside: Beside | None = None
    visits: Sequence[BatteryVisits] = ()

    @property
    def is_stale(self) -> bool:
        """Whether the meter is still being computed."""
        return self.meter is None or self.meter.counted_until is None

    @property
    def is_least(self) -> bool:
        """Whether some months are not in the sums, or the first day may be earlier."""
        return self.meter is not None and self.meter.is_least

    @property
    def last_counted(self) -> date | None:
        """The last day that is counted."""
        if self.meter is None or self.meter.counted_until is None:
            return None
        return self.meter.counted_until - timedelta(days=1)


def spells_of(station: Station, *, today: date) -> list[SpellFigures]:
    """Return the station's spells, newest first, with what they have cost."""
    spells = list(station.spells.select_related("meter").order_by("-from_on", "-pk")[:MOST_SPELLS])
    found = [SpellFigures(spell, getattr(spell, "meter", None)) for spell in spells]
    if found:
        latest = spells[0]
        days = Interval(latest.from_on, latest.to_on)
        found[0] = SpellFigures(
            latest,
            found[0].meter,
            beside_neighbours(station, days=days, until=today),
            battery_visits(station, days=days, tariff=tariff_now(station.controller.property)),
        )
    return found


def stuck_open_with_water(station: Station) -> list[tuple[StuckOpen, float | None]]:
    """Return when its valve stayed open, and what ran out: None where the flow is not known."""
    incidents = stuck_open_of(station)
    facts = facts_of(station.pk) if incidents else []
    found = []
    for each in incidents:
        flows = [row.flow for row in facts if row.days.holds(each.on)]
        flow = flows[0] if flows else None
        found.append((each, None if flow is None else stuck_open_gal(flow, each.hours)))
    return found


def chosen_day(text: str, today: date) -> tuple[date | None, str]:
    """Return the day to look ahead to and, where it is none, what is wrong with it."""
    if not text:
        return None, ""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None, _("Write the day as 2027-03-14.")
    if not today < day <= today + LONGEST_AHEAD:
        return None, _("Choose a day after today, at most five years ahead.")
    return day, ""


def tables_used(ledger: Sequence[WaterMonth], place: Property) -> list[str]:
    """Return the climate tables that the months stand on."""
    names = sorted({row.table for row in ledger if row.table})
    return [_("%s (its own)") % name if name == place.code else name for name in names]


def months_written(
    place: Property, rows: Sequence[WaterMonth] | Sequence[MonthSum], *, heading: str
) -> Written:
    """Return months as a list for a file; what is not known is an empty cell and says why."""
    return Written(
        heading,
        [
            _("Property"),
            _("Month"),
            _("Applied (gal)"),
            _("Needed (gal)"),
            _("Excess (gal)"),
            _("At least"),
            _("Shortfall (gal)"),
            _("Not known"),
        ],
        lambda: [
            [
                place.code,
                f"{row.month:%Y-%m}",
                _cell(row.applied_gal),
                _cell(row.needed_gal),
                _cell(row.excess_gal),
                AT_LEAST if isinstance(row, MonthSum) and row.not_known else "",
                _cell(row.shortfall_gal),
                _not_known(row),
            ]
            for row in rows
        ],
    )


def _not_known(row: Any) -> str | int:
    return lacks_words(row.lacks) if isinstance(row, WaterMonth) else row.not_known


def _cell(gallons: float | None) -> float | str:
    return "" if gallons is None else round(gallons, 2)
