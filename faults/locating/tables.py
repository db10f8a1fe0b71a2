"""The table of searches."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from faults.models import Search
from sites.cells.services.shown import Cell, number
from sites.kernel.tables import LEAD, PLAIN, RIGHT, SheetTable
from sites.register.tables import property_link


class SearchTable(SheetTable):
    """Searches, open and ended."""

    station = tables.Column(verbose_name=_("Station"), attrs=LEAD, order_by="station__number")
    property = tables.Column(
        accessor="fault__property",
        attrs=PLAIN,
        verbose_name=_("Property"),
        order_by="fault__property__code",
    )
    fault = tables.Column(verbose_name=_("Fault"), order_by="fault__key")
    started_at = tables.DateColumn(verbose_name=_("Started"), format="Y-m-d")
    outcome = tables.Column(verbose_name=_("Outcome"), empty_values=(None,))
    test_total = tables.Column(verbose_name=_("Tests"), attrs=RIGHT)
    expected_minutes = tables.Column(verbose_name=_("Minutes expected"), attrs=RIGHT)
    actual_minutes = tables.Column(verbose_name=_("Minutes taken"), attrs=RIGHT)

    class Meta(SheetTable.Meta):
        order_by = ("-started_at",)

    def render_station(self, record: Search) -> SafeString:
        """Link the search."""
        url = reverse("faults:where", args=[record.fault.ref, record.station.ref])
        return format_html('<a href="{}">{}</a>', url, record.station)

    def render_property(self, record: Search) -> SafeString:
        """Link the property."""
        return property_link(record.fault.property)

    def render_fault(self, record: Search) -> SafeString:
        """Link the fault."""
        url = reverse("faults:fault", args=[record.fault.ref])
        return format_html('<a href="{}">{}</a>', url, record.fault)

    def render_outcome(self, record: Search) -> str:
        """Translate the word; an open search has none."""
        return str(record.get_outcome_display()) if record.outcome else str(_("goes on"))

    def render_expected_minutes(self, value: float) -> str:
        """Whole minutes."""
        return f"{value:.0f}"

    def value_expected_minutes(self, record: Search) -> Cell:
        """A number, in a file."""
        value = record.expected_minutes
        return "" if value is None else number(round(value))
