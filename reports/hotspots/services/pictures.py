"""What charts and small tables are drawn from: causes, seasons, covers, funnel, curve, scan."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from faults.models import Cause
from reports.hotspots.engines.causes import simultaneous_shares
from reports.hotspots.engines.evidence import DAYS_A_YEAR, Watched
from reports.hotspots.engines.rates import (
    Interval,
    TwoRates,
    funnel_ratios,
    rate_interval,
    two_rates,
)
from reports.hotspots.engines.recurrence import CurvePoint, curve
from reports.hotspots.engines.scan import Cluster, Link, strongest_cluster, windows
from reports.hotspots.queries import ends_of_legs
from reports.hotspots.services.ranking import View
from reports.hotspots.services.rows import Row
from sites.kernel.lazily import np
from sites.kernel.links import page_of
from sites.models import Cover

MOST_DOTS = 1500
MOST_SCANNED = 2000
# So that a page says the same whenever it is opened.
SCAN_SEED = 20260101
A_YEAR = timedelta(days=365)


@dataclass(frozen=True)
class Share:
    """One cause: how many faults, which share, and where it may lie; all intervals together."""

    cause: str
    word: str
    count: int
    share: float
    limits: Interval


def shares_of(view: View) -> list[Share]:
    """Return causes by count, "not known" among them."""
    counts = view.watched.causes()
    if not counts:
        return []
    total = sum(count for _cause, count in counts)
    limits = simultaneous_shares([count for _cause, count in counts])
    return [
        Share(cause, str(Cause(cause).label), count, count / total, each)
        for (cause, count), each in zip(counts, limits, strict=True)
    ]


def page_of_row(row: Row) -> str:
    """Return the address of why a leg stands there, or of the legs of a property."""
    if row.is_property:
        return f"{reverse('reports:hotspots')}?place={row.place.ref}"
    return page_of("reports:hotspot_leg", row.ref)


def months_of(view: View) -> list[tuple[str, int]]:
    """Return how many faults were reported in each month of the year."""
    days, counts = np.unique(view.watched.found[0], return_counts=True)
    by_month = [0] * 13
    for day, count in zip(days.tolist(), counts.tolist(), strict=True):
        by_month[date.fromordinal(day).month] += count
    return [(date_format(date(2000, n, 1), "M"), by_month[n]) for n in range(1, 13)]


@dataclass(frozen=True)
class CoverRate:
    """Faults under one cover, and their rate per 1000 feet and year."""

    word: str
    count: int
    kft_years: float
    rate: float
    limits: Interval


def covers_of(view: View) -> list[CoverRate]:
    """Return the rate under each cover, highest first."""
    watched, evidence = view.watched, view.watched.evidence
    sums = [
        np.bincount(evidence.cover, values, len(evidence.covers)).tolist()
        for values in (watched.fault_counts, watched.ground)
    ]
    found = [
        CoverRate(
            str(Cover(cover).label) if cover else _("cover not known"),
            int(count),
            exposure,
            count / exposure,
            rate_interval(count, exposure),
        )
        for cover, count, exposure in zip(evidence.covers, *sums, strict=True)
        if exposure > 0
    ]
    return sorted(found, key=lambda each: (-each.rate, each.word))


@dataclass(frozen=True)
class Dot:
    """One leg of the funnel."""

    name: str
    expected: float
    ratio: float
    is_flagged: bool
    leads: str


@dataclass(frozen=True)
class Funnel:
    """Legs by how many faults were to be expected, with the limits of chance."""

    dots: list[Dot]
    expected: list[float]
    low: list[float]
    high: list[float]
    far_low: list[float]
    far_high: list[float]


def funnel_of(view: View) -> Funnel | None:
    """Return the funnel; of very many legs the flagged ones and those best observed."""
    rows = view.rows.best_observed(MOST_DOTS)
    if not rows:
        return None
    dots = [
        Dot(row.name, row.expected, row.located / row.expected, row.is_flagged, page_of_row(row))
        for row in rows
    ]
    most = max(dot.expected for dot in dots)
    least = max(min(dot.expected for dot in dots), most / 1000)
    steps = np.geomspace(least, most * 1.05, 60)
    far_low, low, high, far_high = (
        [float(each) for each in funnel_ratios(steps, p)] for p in (0.001, 0.025, 0.975, 0.999)
    )
    return Funnel(dots, [float(each) for each in steps], low, high, far_low, far_high)


@dataclass(frozen=True)
class Curves:
    """Mean faults of a leg by years observed: of some legs, and of the rest."""

    these: list[CurvePoint]
    rest: list[CurvePoint]
    these_count: int
    rest_count: int


def curves_of(view: View, these: "np.ndarray[Any, Any]") -> Curves:
    """Return the two curves: of the legs that a mask marks, and of the rest."""
    count = int(these.sum())
    return Curves(_curve(view, these), _curve(view, ~these), count, len(these) - count)


def _curve(view: View, marked: "np.ndarray[Any, Any]") -> list[CurvePoint]:
    watched = view.watched
    owners = watched.evidence.fault_of
    is_on = marked[owners]
    new_place = np.cumsum(marked) - 1
    points = curve(watched.fault_times[is_on], new_place[owners[is_on]], watched.ends[marked])
    return [
        CurvePoint(point.age / DAYS_A_YEAR, point.at_risk, point.mean, point.error)
        for point in points
    ]


@dataclass(frozen=True)
class Side:
    """One side of a comparison."""

    word: str
    count: int
    kft_years: float

    @property
    def rate(self) -> float:
        """Faults per 1000 feet and year."""
        return self.count / self.kft_years if self.kft_years else 0.0


@dataclass(frozen=True)
class Compared:
    """Two sides, and what may be said of them."""

    first: Side
    second: Side
    found: TwoRates | None


def compare(first: Side, second: Side) -> Compared:
    """Compare two rates exactly."""
    found = two_rates(first.count, first.kft_years, second.count, second.kft_years)
    return Compared(first, second, found)


def last_year_against_before(view: View) -> Compared:
    """Compare the last twelve months in view with the time before."""
    watched, until = view.watched, view.scope.to_on
    cut = (until - A_YEAR).toordinal()
    new = int((watched.evidence.fault_on >= cut).sum())
    # The second part of what was observed in all: ground of no known length is left out of both.
    return compare(
        Side(_("the last 12 months"), new, watched.kft_years(cut, until.toordinal())),
        Side(_("the time before"), len(watched.evidence.fault_on) - new, watched.kft_years(0, cut)),
    )


def side_of(word: str, view: View) -> Side:
    """Return everything in view as one side."""
    return Side(word, view.counts.located, view.ground_years)


@dataclass(frozen=True)
class Neighbours:
    """Neighbouring legs that fail together."""

    rows: list[Row]
    cluster: Cluster

    @property
    def count(self) -> int:
        """Faults on them together."""
        return round(self.cluster.count)


def neighbours_of(view: View) -> Neighbours | None:
    """Return the strongest set of neighbouring legs, or None where there is none or too many."""
    if view.ranked is None or len(view.rows) > MOST_SCANNED:
        return None
    found = strongest_cluster(
        view.watched.fault_counts.tolist(),
        view.ranked.expected.tolist(),
        windows(len(view.watched), _links(view.watched)),
        random=np.random.default_rng(SCAN_SEED),
        simulated=399,
    )
    return Neighbours(view.rows.at(found.legs), found) if found else None


def _links(watched: Watched) -> list[Link]:
    """Link legs that share a point; where very many meet, each to the first ones only."""
    evidence, feet = watched.evidence, watched.feet.tolist()
    numbers = [*range(len(watched)), *evidence.part_of.tolist()]
    legs = [*evidence.key.tolist(), *evidence.part_leg.tolist()]
    ends, points = ends_of_legs(legs), defaultdict[int, dict[int, None]](dict)
    for number, leg in sorted(zip(numbers, legs, strict=True)):
        for point in ends[leg]:
            points[point][number] = None
    return [
        Link(a, b, (feet[a] + feet[b]) / 2)
        for meeting in map(list, points.values())
        for place, a in enumerate(meeting[:12])
        for b in meeting[place + 1 :]
    ]
