"""What staying off central control cost over a period: sums of what is known, the rest named."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from faults.prices.services.holding import currency_at
from reports.issued.queries import stations_off_between
from reports.issued.services.asking import Scene
from reports.meter.charts import APPLIED, NEEDED
from sites.documents.charts.bars import Series, side_by_side
from sites.documents.engines import figures
from sites.documents.engines.document import (
    Block,
    Drawing,
    Facts,
    Figure,
    Paragraph,
    Section,
    Table,
)
from sites.models import Station
from sites.templatetags.water import lacks_words
from sites.water.engines.money import to_cents
from sites.water.services.metering import PRICE, LedgerRow
from sites.water.services.past import ledger_between

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Sum:
    """Sums over rows of the ledger. None = nothing is known; `not_known` rows are in no sum."""

    rows: int
    not_known: int
    unpriced: int
    applied_gal: float | None
    needed_gal: float | None
    excess_gal: float | None
    shortfall_gal: float | None
    cost: float | None

    @classmethod
    def of(cls, rows: Sequence[LedgerRow]) -> "Sum":
        """Add up what is known."""
        known = [row for row in rows if row.excess_gal is not None]
        priced = [row for row in known if row.cost is not None]

        def total(name: str, of: Sequence[LedgerRow]) -> float | None:
            return sum(getattr(row, name) for row in of) if of or not rows else None

        return cls(
            len(rows),
            len(rows) - len(known),
            len(known) - len(priced),
            total("applied_gal", known),
            total("needed_gal", known),
            total("excess_gal", known),
            total("shortfall_gal", known),
            total("cost", priced),
        )

    @property
    def is_least(self) -> bool:
        """Whether some of it is not known."""
        return self.not_known > 0


def water_sections(scene: Scene, level: int = 1) -> list[Section]:
    """Return the part on water; nothing where no station was off."""
    keys = stations_off_between(scene.place, scene.from_on, scene.until_on)
    if not keys:
        return []
    ledger = ledger_between(keys, scene.from_on, scene.until_on + ONE_DAY)
    rows = [row for of_station in ledger.values() for row in of_station]
    blocks: list[Block] = [
        _facts(scene, Sum.of(rows)),
        *_note(Sum.of(rows)),
        *_by_month(scene, rows),
        _by_station(scene, ledger),
    ]
    return [Section("water", _("Water while off central control"), blocks, level)]


def _facts(scene: Scene, total: Sum) -> Facts:
    unit = scene.volume_unit
    rows = [
        (_("More than needed, %s") % unit, _least(scene, total, total.excess_gal)),
        (_("Less than needed, %s") % unit, _least(scene, total, total.shortfall_gal)),
    ]
    if scene.asked.shows_prices:
        heading = (_("Cost of the excess, %s") % currency(scene)).rstrip(", ")
        rows.append((heading, _cost(total)))
    return Facts("totals", rows)


def currency(scene: Scene) -> str:
    """Return the currency of the property's prices; "" where no list names it."""
    return currency_at(scene.place, scene.until_on)


def _least(scene: Scene, total: Sum, gallons: float | None) -> Figure:
    figure = scene.volume(gallons, _("not known"))
    is_least = total.is_least and gallons is not None
    return figures.with_words(_("at least %s"), figure) if is_least else figure


def _cost(total: Sum) -> Figure:
    if total.cost is None:
        return Figure(_("not known"))
    figure = figures.amount(to_cents(total.cost), decimals=2)
    is_least = total.is_least or total.unpriced
    return figures.with_words(_("at least %s"), figure) if is_least else figure


def _note(total: Sum) -> list[Block]:
    if not total.not_known:
        return []
    words = ngettext(
        "Of %(n)s of %(all)s months of stations something is not known; it is in no sum.",
        "Of %(n)s of %(all)s months of stations something is not known; they are in no sum.",
        total.not_known,
    )
    return [Paragraph(words % {"n": total.not_known, "all": total.rows}, "soft")]


def _by_month(scene: Scene, rows: Sequence[LedgerRow]) -> list[Block]:
    months = sorted({row.month for row in rows})
    sums = [Sum.of([row for row in rows if row.month == month]) for month in months]
    numbers = [
        [
            scene.volume(getattr(each, name), _("not known"))
            for name in ("applied_gal", "needed_gal")
        ]
        for each in sums
    ]
    drawn: list[Block] = []
    if any(figure.number for pair in numbers for figure in pair):
        svg = side_by_side(
            [f"{month:%Y-%m}" for month in months],
            [
                Series(_("applied"), APPLIED, "", [pair[0].number for pair in numbers]),
                Series(_("needed"), NEEDED, "M0 8L8 0", [pair[1].number for pair in numbers]),
            ],
        )
        alt = _("Water applied and needed by month, in %s.") % scene.volume_unit
        drawn.append(Drawing(svg, alt, alt))
    prices = scene.asked.shows_prices
    headings = [
        _("Month"),
        _("Applied, %s") % scene.volume_unit,
        _("Needed, %s") % scene.volume_unit,
        _("More than needed, %s") % scene.volume_unit,
        _("Less than needed, %s") % scene.volume_unit,
        *([_("Cost")] if prices else []),
        _("Not known, stations"),
    ]
    lines = [
        [
            Figure(f"{month:%Y-%m}"),
            *pair,
            _least(scene, each, each.excess_gal),
            _least(scene, each, each.shortfall_gal),
            *([_cost(each)] if prices else []),
            figures.count(each.not_known),
        ]
        for month, each, pair in zip(months, sums, numbers, strict=True)
    ]
    numeric = list(range(1, len(headings)))
    return [*drawn, Table("by month", _("By month"), headings, lines, numeric)]


def _by_station(scene: Scene, ledger: dict[int, list[LedgerRow]]) -> Table:
    stations = Station.objects.filter(pk__in=ledger).select_related("controller")
    sums = {station: Sum.of(ledger[station.pk]) for station in stations}
    prices = scene.asked.shows_prices
    rows = [
        [
            figures.text(f"{station} {station.name}".strip()),
            _least(scene, each, each.excess_gal),
            _least(scene, each, each.shortfall_gal),
            *([_cost(each)] if prices else []),
            figures.text(_lacks(scene, ledger[station.pk])),
        ]
        for station, each in sorted(
            sums.items(), key=lambda pair: (-(pair[1].excess_gal or 0.0), str(pair[0]), pair[0].pk)
        )
        if each.rows
    ]
    headings = [
        _("Station"),
        _("More than needed, %s") % scene.volume_unit,
        _("Less than needed, %s") % scene.volume_unit,
        *([_("Cost")] if prices else []),
        _("What is not known"),
    ]
    return Table("by station", _("By station"), headings, rows, [1, 2, 3] if prices else [1, 2])


def _lacks(scene: Scene, rows: Sequence[LedgerRow]) -> str:
    """Name what is missing; the price to those alone who see prices."""
    names = {name for row in rows for name in row.lacks.split(";") if name}
    if scene.asked.shows_prices and any(row.cost is None and row.excess_gal for row in rows):
        names.add(PRICE)
    return lacks_words(";".join(sorted(names)))
