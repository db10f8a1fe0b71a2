"""Tables that combine the register and the faults."""

from datetime import date
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from faults.models import STAGE_CHOICES
from sites.models import SpellPart
from sites.tables import LEAD, PLAIN, RIGHT, SheetTable, property_link, station_link
from sites.templatetags.register import reason_swatch

STAGE_WORDS = dict(STAGE_CHOICES)


class OffCentralTable(SheetTable):
    """Stations off central control: where, why, since when, and what is being done."""

    station = tables.Column(
        verbose_name=_("Station"),
        order_by=("station__controller__name", "station__number"),
        attrs=LEAD,
    )
    name = tables.Column(
        attrs=PLAIN, accessor="station__name", verbose_name=_("Name"), order_by="station__name"
    )
    property = tables.Column(
        attrs=PLAIN,
        accessor="station__controller__property",
        verbose_name=_("Property"),
        order_by="station__controller__property__code",
    )
    reason = tables.Column(attrs=PLAIN, verbose_name=_("Reason"))
    kind = tables.Column(
        attrs=PLAIN,
        accessor="stopgap__kind",
        verbose_name=_("What stands in"),
        order_by="stopgap__kind",
        empty_values=(),
    )
    since = tables.Column(
        accessor="spell__from_on", verbose_name=_("Off since"), order_by="spell__from_on"
    )
    days = tables.Column(
        accessor="spell__from_on",
        verbose_name=_("Days"),
        order_by="-spell__from_on",
        attrs=RIGHT,
    )
    fault = tables.Column(
        accessor="fault_key", verbose_name=_("Fault"), order_by="fault_stage", empty_values=()
    )

    class Meta(SheetTable.Meta):
        order_by = ("since",)
        sequence = ("station", "name", "property", "reason", "kind", "since", "days", "fault")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        self.today = today
        super().__init__(*args, **kwargs)

    def render_station(self, record: SpellPart) -> SafeString:
        """Link the station."""
        return station_link(record.station)

    def render_property(self, record: SpellPart) -> SafeString:
        """Link the property."""
        return property_link(record.station.controller.property)

    def render_reason(self, record: SpellPart) -> SafeString:
        """Show the reason with its swatch."""
        return reason_swatch(record.reason)

    def render_kind(self, record: SpellPart) -> str:
        """Say what stands in; a lost link has nothing standing in."""
        return record.stopgap.get_kind_display() if record.stopgap else "—"

    def render_since(self, record: SpellPart) -> SafeString:
        """Write the first day, marked where only the latest possible day is known."""
        first = record.spell.from_on.isoformat()
        if record.spell.from_is_exact:
            return format_html('<span class="nowrap">{}</span>', first)
        return format_html(
            '<span class="nowrap">{}</span> <span class="soft small">{}</span>',
            first,
            _("or before"),
        )

    def value_since(self, record: SpellPart) -> str:
        """As shown, for files."""
        first = record.spell.from_on.isoformat()
        return first if record.spell.from_is_exact else f"{first} {_('or before')}"

    def value_days(self, record: SpellPart) -> int:
        """A number to reckon with; the column beside it says where it is at least so many."""
        return max(0, (self.today - record.spell.from_on).days)

    def render_days(self, record: SpellPart) -> str:
        """Write the age in days."""
        days = max(0, (self.today - record.spell.from_on).days)
        return f"{days:,}" if record.spell.from_is_exact else f"≥ {days:,}"

    def render_fault(self, record: SpellPart) -> SafeString | str:
        """Link the open fault and its stage, or say that there is none."""
        ref = getattr(record, "fault_ref", None)
        if not ref:
            return format_html('<span class="soft">{}</span>', _("none open"))
        key = getattr(record, "fault_key", "") or ref
        stage = STAGE_WORDS[getattr(record, "fault_stage", "reported")]
        url = reverse("faults:fault", args=[ref])
        return format_html('<a href="{}" class="nowrap">{}</a> {}', url, key, stage)
