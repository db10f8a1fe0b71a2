"""Keep spells up to date in each verb's transaction: collect changes, rebuild once.

Outside of a verb (a command, the admin, a test that makes rows) each change rebuilds at once.
Bulk writes send no signal: their caller has to call `touch`.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sites.kernel.services.collecting import Collector
from sites.models import Central, CentralState, Controller, Property, Station, Stopgap
from sites.stopgaps.services.spells import rebuild_spells


@dataclass
class Touched:
    """Keys of what was changed; the stations behind them are looked up once, at the end."""

    stations: set[int] = field(default_factory=set)
    controllers: set[int] = field(default_factory=set)
    places: set[int] = field(default_factory=set)

    def rebuild(self, **how: Callable[[int, int], object]) -> None:
        """Rebuild the spells of all touched stations; `how` is passed on to `rebuild_spells`."""
        ids = set(self.stations)
        for path, keys in (
            ("controller__in", self.controllers),
            ("controller__property__in", self.places),
        ):
            if keys:
                rows = Station.objects.filter(**{path: keys}).order_by()
                ids |= set(rows.values_list("pk", flat=True))
        if ids:
            rebuild_spells(ids, **how)


_collector = Collector("spells_touched", Touched)
spells_kept = _collector.kept
# Say what was changed without a signal, by the names of `Touched`.
touch = _collector.touch


def _stopgap(instance: Stopgap, **_: Any) -> None:
    touch(stations=[instance.station_id])


def _state(instance: CentralState, **_: Any) -> None:
    touch(controllers=[instance.controller_id])


def _station(instance: Station, created: bool = False, **_: Any) -> None:
    """Its retirement; and a new one is off from its first day where the link is lost."""
    lost = CentralState.objects.filter(
        controller_id=instance.controller_id, state=Central.LINK_LOST
    )
    # A new one has no stopgap yet, so only a lost link could keep it off.
    if not created or lost.exists():
        touch(stations=[instance.pk])


def _controller(instance: Controller, created: bool = False, **_: Any) -> None:
    if not created:
        touch(controllers=[instance.pk])


def _place(instance: Property, created: bool = False, **_: Any) -> None:
    if not created:
        touch(places=[instance.pk])


_WHEN_SAVED: dict[Any, Any] = {
    Stopgap: _stopgap,
    CentralState: _state,
    Station: _station,
    Controller: _controller,
    Property: _place,
}


def connect() -> None:
    """Listen to all that spells follow from. Called once, when the app is ready."""
    _collector.listen(_WHEN_SAVED, deleted=(Stopgap, CentralState))
