"""The ranked table of hotspots, and the same as a file."""

from collections.abc import Iterable, Iterator
from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django_tables2.data import TableListData
from django_tables2.utils import OrderBy

from reports.hotspots.services.pictures import page_of_row
from reports.hotspots.services.rows import Row
from reports.hotspots.services.words import (
    counted_words,
    direction_words,
    evidence,
    interval_words,
    number,
)
from sites.cells.services.shown import Cell
from sites.cells.services.writing import Written
from sites.kernel.tables import LEAD, PLAIN, RIGHT, SheetTable
from sites.register.tables import property_link
from sites.templatetags.register import feet


class RankedRows(TableListData):
    """Rows that stand by rank already, so that only those of a page are made."""

    def order_by(self, aliases: Any) -> None:
        """Sort by another column than the rank, without making all rows where that can be."""
        if tuple(aliases) == ("rank",):
            return
        ordered = self.data.ordered(self._keys(aliases))
        self.data: Any = list(self.data) if ordered is None else ordered
        if ordered is None:
            super().order_by(aliases)

    def _keys(self, aliases: Any) -> list[tuple[str, bool]]:
        """Return what the columns sort by, and whether the largest comes first."""
        keys = []
        for alias in aliases:
            column = self.table.columns[OrderBy(alias).bare]
            is_turned = alias[0] != column.order_by_alias[0]
            keys += column.order_by.opposite if is_turned else column.order_by
        return [(OrderBy(key).bare, OrderBy(key).is_descending) for key in keys]


class HotspotTable(SheetTable):
    """Legs or properties, the worst first."""

    caption: Any = gettext_lazy("Hotspots")

    rank = tables.Column(verbose_name=gettext_lazy("Rank"), attrs=RIGHT)
    name = tables.Column(verbose_name=gettext_lazy("Leg"), attrs=LEAD)
    place = tables.Column(
        verbose_name=gettext_lazy("Property"), attrs=PLAIN, order_by=("place__code", "rank")
    )
    evidence = tables.Column(
        verbose_name=gettext_lazy("Evidence"), accessor="q", order_by=("q", "rank")
    )
    ratio = tables.Column(
        verbose_name=gettext_lazy("Times as often"), attrs=RIGHT, order_by=("-ratio", "rank")
    )
    counted = tables.Column(
        verbose_name=gettext_lazy("Faults"), attrs=RIGHT, order_by=("-counted", "rank")
    )
    feet = tables.Column(verbose_name=gettext_lazy("Length"), attrs=RIGHT)
    years = tables.Column(verbose_name=gettext_lazy("Years"), attrs=RIGHT)
    rate = tables.Column(verbose_name=gettext_lazy("Rate"), attrs=RIGHT, order_by=("-rate", "rank"))
    last = tables.Column(
        verbose_name=gettext_lazy("Last"), empty_values=(), order_by=("-sort_last", "rank")
    )
    main_cause = tables.Column(
        verbose_name=gettext_lazy("Main cause"), orderable=False, empty_values=()
    )
    trend = tables.Column(
        verbose_name=gettext_lazy("They come"), accessor="direction", orderable=False
    )

    class Meta(SheetTable.Meta):
        order_by = ("rank",)

    def __init__(self, *args: Any, query: str, by_properties: bool, **kwargs: Any) -> None:
        self.query = f"?{query}" if query else ""
        self.by_properties = by_properties
        left_out = ("place",) if by_properties else ()
        super().__init__(*args, exclude=left_out, **kwargs)
        if by_properties:
            self.columns["name"].column.verbose_name = _("Property")

    def render_name(self, record: Row) -> SafeString:
        """Link to why the leg stands there, or to the legs of the property."""
        url = page_of_row(record)
        if record.is_property:
            return format_html('<a href="{}">{}</a>', url, record.name)
        return format_html('<a href="{}" class="nowrap">{}</a>', url + self.query, record.name)

    def render_place(self, record: Row) -> SafeString:
        """Link the property."""
        return property_link(record.place)

    def render_evidence(self, record: Row) -> SafeString:
        """Say it with a word and, where flagged, a mark."""
        kind = "flagged" if record.is_flagged else "soft"
        return format_html('<span class="{}">{}</span>', kind, evidence(record))

    def render_counted(self, record: Row) -> str:
        """Located faults, with the share of those that were not."""
        return counted_words(record)

    def render_feet(self, record: Row) -> str:
        """Write the length in the property's units."""
        return feet(record.feet, record.place)

    def render_years(self, record: Row) -> str:
        """Write the years with a tenth."""
        return f"{record.years:.1f}"

    def render_rate(self, record: Row) -> SafeString:
        """Write the rate with its exact interval."""
        return _with_limits(number(record.rate), interval_words(record.limits))

    def render_ratio(self, record: Row) -> SafeString:
        """Write how many times as often as the others it fails, by which it is ranked."""
        return _with_limits(number(record.ratio), interval_words(record.ratio_limits))

    def render_last(self, record: Row) -> SafeString:
        """Write the newest fault's day."""
        day = record.last.isoformat() if record.last else "—"
        return format_html('<span class="nowrap">{}</span>', day)

    def render_main_cause(self, record: Row) -> str:
        """Write the most frequent cause, where one is."""
        return record.main_cause or ("—" if not record.located else _("none leads"))

    def render_trend(self, record: Row) -> str:
        """Say whether faults come faster."""
        return direction_words(record.direction)


def _with_limits(value: str, limits: str) -> SafeString:
    return format_html(
        '<span class="nowrap">{}</span> <span class="soft small nowrap">{}</span>', value, limits
    )


def written(rows: Iterable[Row], *, by_properties: bool) -> Written:
    """Return the whole ranking as rows for an export, with plain numbers."""
    headings = [
        *(_("Rank"), _("Property"), _("Property") if by_properties else _("Leg"), _("Evidence")),
        *(_("Times as often as others"), _("from"), _("to")),
        *(_("Faults located"), _("Share of faults not located"), _("Length (ft)"), _("Years")),
        *(_("Faults per 1,000 ft and year"), _("from"), _("to")),
        *(_("Evened rate"), _("from"), _("to")),
        *(_("Chance of so many (p)"), _("Share of false flags (q)")),
        *(_("Last"), _("Main cause"), _("They come")),
    ]
    return Written(_("Hotspots"), headings, lambda: _lines(rows))


def _lines(rows: Iterable[Row]) -> Iterator[list[Cell]]:
    for row in rows:
        yield [
            *(row.rank, str(row.place), row.name, evidence(row)),
            *(row.ratio, row.ratio_limits.low, row.ratio_limits.high),
            *(row.located, row.spread, row.feet, row.years),
            *(row.rate, row.limits.low, row.limits.high),
            *(row.shrunken, row.shrunken_limits.low, row.shrunken_limits.high),
            *(row.p, row.q),
            *(row.last or "", row.main_cause, direction_words(row.direction)),
        ]
