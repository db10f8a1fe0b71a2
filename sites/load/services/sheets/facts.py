"""What a station waters, as the sheets of stations and the flat lists say it."""

from dataclasses import dataclass
from typing import Self

from django.utils.translation import gettext as _

from sites.load.services.identity import IdentityMap
from sites.load.services.load import Load, Notes
from sites.load.services.rows import Row
from sites.load.services.work import is_saved
from sites.models import Station, StationFacts

FACTS = ("area", "flow", "precipitation rate", "plant kind", "plant factor", "efficiency")


@dataclass
class FactNotes(Notes):
    """The facts that hold now, by station."""

    facts: IdentityMap[Station, StationFacts]

    @classmethod
    def begin(cls, load: Load) -> Self:
        """Read the facts that have not ended."""
        stations = {row.pk: row for row in load.book.stations.by_ref.values()}
        rows = load.book.rows_of(StationFacts, "station__controller__property_id")
        return cls(
            IdentityMap(
                (stations[row.station_id], row)
                for row in rows
                if row.to_on is None and row.station_id in stations
            )
        )


def plan_facts(load: Load, row: Row, station: Station, what: str) -> None:
    """Plan the facts that a row gives; on a station that has none, they begin with the load."""
    given = [name for name in FACTS if name in row.cells]
    if not given:
        return
    known = load.notes(FactNotes).facts
    facts = known.get(station)
    if facts is None:
        if not any(row.has(name) for name in given):
            return
        facts = StationFacts(station=station)
        load.work.create(facts)
        known[station] = facts
        if is_saved(station) and not row.is_new:
            row.change(what, _("facts"), "", ", ".join(given))
    load.copy(row, facts, what, only=given)
