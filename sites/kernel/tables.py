"""What all tables share: cells by what they hold, and rows that become cards on a phone."""

from datetime import date, datetime
from functools import cached_property
from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.timezone import localtime
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from sites.kernel.table_rows import LEAD_CLASS, table_body

RIGHT = {"td": {"class": "right"}, "th": {"class": "right"}}
# What names a row: the template makes it the row's header.
LEAD = {"td": {"class": LEAD_CLASS}}
# On a phone these cells stand without the name of their column: the value says it.
PLAIN = {"td": {"class": "plain"}}
# Few need these: a tick above the table shows them. Files and phones have them always.
MORE = "more"
# Sentences: beside many numbers they would else stand one word under the other.
WORDS = {"td": {"class": "plain words"}}


class SheetTable(tables.Table):
    """Our table: a row becomes a card on a phone, an empty cell says nothing.

    The `caption` names it for those who hear it; the cells of the `LEAD` column head their rows.
    """

    caption: Any = ""
    # Columns whose sum over all rows, on whichever page, a list puts below them.
    summed: tuple[str, ...] = ()
    sums: dict[str, Any]

    class Meta:
        template_name = "sites/_table.html"
        attrs = {"class": "cards"}
        per_page = 25
        default = ""

    @cached_property
    def tick_words(self) -> str:
        """What names the box of a row: translated once, not once a row."""
        return gettext("Tick: %s")

    @property
    def has_more(self) -> bool:
        """Whether there are columns that are shown on request only."""
        return any(MORE in (each.attrs["th"].get("class") or "") for each in self.columns)

    @property
    def foot(self) -> list[tuple[str, Any]]:
        """The classes and the sum of each column, nothing where no column sums."""
        known = getattr(self, "sums", {})
        if not known:
            return []
        return [
            (each.attrs["th"].get("class") or "", known.get(each.name, ""))
            for each in self.columns
        ]  # fmt: skip

    @property
    def body(self) -> SafeString:
        """The rows of the shown page."""
        return table_body(self)


class TickColumn(tables.Column):
    """A box to tick a row, for the bar of acts above the table."""

    def __init__(self, accessor: str = "ref") -> None:
        tick = {"td": {"class": "plain tick"}, "th": {"class": "tick"}}
        super().__init__(accessor=accessor, orderable=False, verbose_name=_("Tick"), attrs=tick)

    def render(self, value: str, record: Any, table: SheetTable) -> SafeString:
        """Write the box, named by the row."""
        return format_html(
            '<input type="checkbox" form="many" name="rows" value="{}" aria-label="{}">',
            value,
            table.tick_words % record,
        )


class DayColumn(tables.Column):
    """A day as 2026-03-14; of a moment, its day in the viewer's time zone."""

    def render(self, value: date) -> str:
        """Write the day."""
        day = localtime(value).date() if isinstance(value, datetime) else value
        return day.isoformat()
