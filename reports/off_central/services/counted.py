"""What the first page and that of water count over whole properties, kept as a summary."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Model
from django.utils import timezone

from faults.models import Wait
from faults.prices.services.holding import currencies_of
from faults.waits.queries.waits import MoverLine, movers_by_property, movers_of
from reports.off_central.queries import OffGroup, groups_of, in_the_ratio_of
from reports.summaries.services.summaries import Figures, Keys, summaries_of, touch
from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Action
from sites.models import Controller, Meter, Property, Station, User
from sites.water.queries.meters import Sums, Totals, meter_sums, totals_from

# A change of what is kept raises the number.
SUBJECT = "off central 1"
# They are counted in a few statements, however many they are.
MOST_AT_ONCE = 1_000_000


@dataclass(frozen=True)
class Counted:
    """Counts over all properties on which a user sees what is off central control now."""

    groups: list[OffGroup]
    stations: int
    movers: list[MoverLine]
    sums: dict[int, Sums]

    @property
    def off(self) -> int:
        """How many stations are off."""
        return sum(group.count for group in self.groups)

    @property
    def places_off(self) -> int:
        """At how many properties any station is off."""
        return len({group.property_id for group in self.groups})

    def totals(self, priced: Mapping[int, str]) -> Totals:
        """What they have cost so far, with the prices of the properties in `priced`.

        Args:
            priced: the currency of each, as `currencies_for` has it.
        """
        return totals_from(self.sums, priced)


def currencies_for(user: User) -> dict[int, str]:
    """Return the currency of each property whose prices the user sees, by its key."""
    seen = properties_for(user, Action.SEE_RATES).order_by("pk").values_list("pk", "client")
    return currencies_of(dict(seen), timezone.localdate())


def counted_for(user: User) -> Counted:
    """Return what is counted over all properties in view."""
    seen = properties_for(user, Action.SEE_OFF_CENTRAL)
    kept = summaries_of(SUBJECT, list(seen.order_by("pk").values_list("pk", flat=True)))
    figures = {place: each.figures for place, each in sorted(kept.items())}
    movers = Counter[str]()
    for each in figures.values():
        movers.update(each["movers"])
    return Counted(
        [
            OffGroup(place, reason, count, date.fromisoformat(oldest))
            for place, each in figures.items()
            for reason, count, oldest in each["groups"]
        ],
        sum(each["stations"] for each in figures.values()),
        movers_of(movers),
        {place: each["sums"] for place, each in figures.items() if each["sums"]},
    )


def make(places: Collection[int]) -> dict[int, Figures]:
    """Count what is kept of each property from the records, in four statements."""
    groups, stations = groups_of(places), in_the_ratio_of(places)
    movers, sums = movers_by_property(places), meter_sums(places)
    found: dict[int, dict[str, Any]] = {
        place: {
            "groups": [],
            "stations": stations.get(place, 0),
            "movers": movers.get(place, {}),
            "sums": sums.get(place, {}),
        }
        for place in places
    }
    for group in groups:
        line = [group.reason, group.count, group.oldest.isoformat()]
        found[group.property_id]["groups"].append(line)
    return {place: Figures(figures) for place, figures in found.items()}


FOLLOWS_FROM: dict[type[Model], Keys] = {
    Property: lambda row: {"places": [row.pk]},
    Controller: lambda row: {"controllers": [row.pk]},
    Station: lambda row: {"controllers": [row.controller_id]},
    Wait: lambda row: {"stations": [row.station_id]},
    Meter: lambda row: {"spells": [row.spell_id]},
}
# Meters go with their spells, and waits are deleted with word of it.
DELETED = (Controller, Station)


def spells_changed(station_ids: list[int], **_: Any) -> None:
    """Count again where spells of stations were rebuilt."""
    touch(SUBJECT, stations=station_ids)
