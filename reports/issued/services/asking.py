"""What is asked of a report, and what each part of it is told."""

import zoneinfo
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any, Self

from django.db.models import Q

from faults.models import Fault, Round, RoundStop, RoundVisit
from reports.models import Audience, Draft, Report, ReportKind, ReportSeries
from sites.cells.engines.measures import DEPTH, LENGTH
from sites.documents.engines import figures
from sites.documents.engines.document import Figure
from sites.models import Client, Property, Units, today_at
from sites.water.engines.constants import M3_PER_GAL

# A change of what a kind of report says raises it: what an earlier one issued is not compared.
_COMPOSERS = {
    ReportKind.PROPERTY.value: 2,
    ReportKind.CLIENT.value: 2,
    ReportKind.OWNER.value: 2,
    ReportKind.PROOF.value: 2,
    ReportKind.DAMAGE.value: 2,
    ReportKind.ROUND.value: 2,
}


def composer(kind: str) -> int:
    """Return the number of what puts this kind of report together today."""
    return _COMPOSERS.get(kind, 1)


@dataclass(frozen=True)
class Asked:
    """One report: about what, over which days (both included), for whom, in which words."""

    kind: str
    from_on: date
    until_on: date
    language: str
    units: str
    paper: str
    audience: str = Audience.CLIENT.value
    shows_prices: bool = False
    place: Property | None = None
    client: Client | None = None
    fault: Fault | None = None
    round: Round | None = None

    @classmethod
    def of(cls, row: Draft | Report) -> Self:
        """Return what a draft or report was asked for."""
        return cls(from_on=row.from_on, until_on=row.until_on, **_shared(row))

    @classmethod
    def of_series(cls, row: ReportSeries, from_on: date, until_on: date) -> Self:
        """Return what a series asks for over one period."""
        return cls(from_on=from_on, until_on=until_on, **_shared(row))

    def fields(self) -> dict[str, Any]:
        """Return it as the fields of a row."""
        return {**self.without_period(), "from_on": self.from_on, "until_on": self.until_on}

    def without_period(self) -> dict[str, Any]:
        """Return the fields that a series has too."""
        names = ("kind", "language", "units", "paper", "audience", "shows_prices")
        found = {name: getattr(self, name) for name in names}
        about = {"property": self.place, "client": self.client}
        return {**found, **about, "fault": self.fault, "round": self.round}

    def as_arguments(self) -> dict[str, Any]:
        """Return it as a background run keeps it."""
        found = {name: value for name, value in self.fields().items() if isinstance(value, str)}
        return {
            **found,
            "shows_prices": self.shows_prices,
            "from_on": self.from_on.isoformat(),
            "until_on": self.until_on.isoformat(),
            "place": self.place and self.place.pk,
            "client": self.client and self.client.pk,
            "fault": self.fault and self.fault.pk,
            "round": self.round and self.round.pk,
        }

    @classmethod
    def kept(cls, arguments: dict[str, Any]) -> Self:
        """Return what a background run kept."""
        rows = {
            "place": Property.objects.filter(pk=arguments["place"]).first(),
            "client": Client.objects.filter(pk=arguments["client"]).first(),
            "fault": Fault.objects.filter(pk=arguments["fault"]).first(),
            "round": Round.objects.filter(pk=arguments.get("round") or 0).first(),
        }
        days = {name: date.fromisoformat(arguments[name]) for name in ("from_on", "until_on")}
        return cls(**{**arguments, **rows, **days})

    @property
    def is_for_client(self) -> bool:
        """Whether a client reads it."""
        return self.audience == Audience.CLIENT

    def places(self) -> Sequence[Property]:
        """Return the properties that it is about, by code."""
        if self.place is not None:
            return [self.place]
        rows = Property.objects.in_care()
        if self.round is not None:
            stops = RoundStop.objects.filter(round=self.round, taken_out_on=None)
            visits = RoundVisit.objects.filter(round=self.round)
            rows = Property.objects.filter(
                Q(pk__in=stops.values("property")) | Q(pk__in=visits.values("property"))
            )
        if self.client is not None:
            rows = rows.filter(client=self.client)
        return list(rows.order_by("code", "pk"))


def _shared(row: Draft | Report | ReportSeries) -> dict[str, Any]:
    names = ("kind", "language", "units", "paper", "audience", "shows_prices")
    about = ("client", "fault", "round")
    return {**{name: getattr(row, name) for name in (*names, *about)}, "place": row.property}


@dataclass(frozen=True)
class Scene:
    """One property within a report: what each part is told. `at` = when the data is read."""

    asked: Asked
    place: Property
    at: datetime

    @property
    def from_on(self) -> date:
        """The first day."""
        return self.asked.from_on

    @property
    def until_on(self) -> date:
        """The last day: what is still to come is not told."""
        return min(self.asked.until_on, today_at(self.place, self.at))

    @property
    def end_at(self) -> datetime:
        """The end of the last day at the property, or now where that is earlier."""
        zone = zoneinfo.ZoneInfo(self.place.time_zone)
        end = datetime.combine(self.until_on + timedelta(days=1), time.min, zone)
        return min(end, self.at)

    def at_place(self, place: Property) -> "Scene":
        """Return the same of another property."""
        return replace(self, place=place)

    # Measures, in the units of the report.

    def length(self, length_ft: float) -> str:
        """Write a length."""
        return LENGTH.in_words(length_ft, self.asked.units)

    def depth(self, depth_in: float | None) -> Figure:
        """Write a depth; empty where it is not known."""
        return Figure(DEPTH.in_words(depth_in, self.asked.units) if depth_in is not None else "")

    @property
    def volume_unit(self) -> str:
        """The unit of volumes, for headings."""
        return "m³" if self.asked.units == Units.METRIC else "gal"

    def volume(self, gallons: float | None, not_known: str) -> Figure:
        """Write a volume without its unit, or that it is not known: never 0 for want of data."""
        if gallons is None:
            return Figure(not_known)
        if self.asked.units == Units.METRIC:
            return figures.amount(gallons * M3_PER_GAL, decimals=1)
        return figures.amount(gallons, decimals=0)
