"""One cause: at which depth, by which year, and what helped against it."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from reports.hotspots.engines.evidence import DAYS_A_YEAR
from reports.hotspots.engines.rates import Interval, rate_interval
from reports.hotspots.services.whole_legs import Event, Stretch

DEPTHS_IN = (6.0, 12.0, 18.0, 24.0)
MOST_WAYS = 12


def depths_of(events: Sequence[Event]) -> list[tuple[str, int]]:
    """Return how many faults lay in each band of depth; those not measured last."""
    counts = Counter(
        None if event.depth_in is None else sum(event.depth_in >= edge for edge in DEPTHS_IN)
        for event in events
    )
    edges = [0.0, *DEPTHS_IN]
    bands = [
        _("%(low)s to %(high)s in (%(low_cm)s to %(high_cm)s cm)")
        % {
            "low": f"{a:g}",
            "high": f"{b:g}",
            "low_cm": f"{a * 2.54:.0f}",
            "high_cm": f"{b * 2.54:.0f}",
        }
        for a, b in zip(edges, DEPTHS_IN, strict=False)
    ]
    last = DEPTHS_IN[-1]
    bands.append(
        _("%(low)s in (%(cm)s cm) and deeper") % {"low": f"{last:g}", "cm": f"{last * 2.54:.0f}"}
    )
    lines = [(band, counts[n]) for n, band in enumerate(bands)]
    return [*lines, (_("depth not measured"), counts[None])]


def years_of(events: Sequence[Event]) -> list[tuple[int, int]]:
    """Return how many faults were reported in each year, gaps too."""
    counts = Counter(event.on.year for event in events)
    if not counts:
        return []
    return [(year, counts[year]) for year in range(min(counts), max(counts) + 1)]


@dataclass(frozen=True)
class Way:
    """One way of mending: how often, how often the cause came back there, and how fast."""

    how: str
    mends: int
    came_back: int
    years: float
    limits: Interval | None

    @property
    def rate(self) -> float:
        """Returns in a year of watching, after such a mend."""
        return self.came_back / self.years if self.years else 0.0


def ways_of(stretches: Sequence[Stretch], until: date) -> list[Way]:
    """Return ways of mending by how seldom the same cause came back to the leg.

    Each mend is watched until the next fault of the cause on that leg, or until now.
    """
    mends: dict[str, int] = defaultdict(int)
    back: dict[str, int] = defaultdict(int)
    years: dict[str, float] = defaultdict(float)
    for one in stretches:
        days = sorted(event.on for event in one.events)
        for event in one.events:
            mended = event.mended_on
            if mended is None or mended >= until or not event.how_mended:
                continue
            later = [day for day in days if day > mended]
            mends[event.how_mended] += 1
            back[event.how_mended] += bool(later)
            years[event.how_mended] += ((later[0] if later else until) - mended).days / DAYS_A_YEAR
    found = [
        Way(how, n, back[how], years[how], _limits(back[how], years[how]))
        for how, n in mends.items()
    ]
    return sorted(found, key=lambda way: (-way.mends, way.how))[:MOST_WAYS]


def _limits(count: int, years: float) -> Interval | None:
    return rate_interval(count, years) if years > 0 else None


def ways_title(ways: Sequence[Way]) -> str:
    """State the way that helped most, where its interval lies below all others."""
    known = [way for way in ways if way.limits is not None]
    if len(known) < 2:
        return _("Too few mends to compare")
    best = min(known, key=lambda way: way.rate)
    others = [way for way in known if way is not best]
    if any(best.limits.overlaps(way.limits) for way in others if best.limits and way.limits):
        return _("No way of mending is shown to hold better than the others")
    return _("It came back most seldom after: %s") % best.how
