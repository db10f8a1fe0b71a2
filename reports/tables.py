"""Tables that combine the register and the faults."""

from datetime import date
from typing import Any

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from faults.models import STAGE_CHOICES
from faults.templatetags.waits import days_words, mover_word, waits_word
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
    waits_on = tables.Column(
        verbose_name=_("Waits on"), order_by=("waits_on", "wait_since"), attrs=PLAIN
    )
    mover = tables.Column(verbose_name=_("Whose move"), order_by=("mover", "wait_since"))
    # In files only: on the page they stand within the first of the three.
    wait_since = tables.Column(verbose_name=_("Waits since"))
    wait_until = tables.Column(verbose_name=_("Waits until"))

    class Meta(SheetTable.Meta):
        order_by = ("since",)
        sequence = (
            *("station", "name", "property", "reason", "kind", "since", "days", "fault"),
            *("waits_on", "mover", "wait_since", "wait_until"),
        )

    def __init__(
        self,
        *args: Any,
        today: date,
        is_file: bool = False,
        sees_work: bool = True,
        exclude: Any = (),
        **kwargs: Any,
    ) -> None:
        self.today, self.sees_work = today, sees_work
        left_out = (*exclude, *(() if is_file else ("wait_since", "wait_until")))
        super().__init__(*args, exclude=left_out, **kwargs)

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
        return f"{days:,}" if record.spell.from_is_exact else f"≥\u00a0{days:,}"

    def render_fault(self, record: SpellPart) -> SafeString | str:
        """Link the open fault and its stage, or say that there is none."""
        ref = getattr(record, "fault_ref", None)
        if not ref:
            return format_html('<span class="soft">{}</span>', _("none open"))
        key = getattr(record, "fault_key", "") or ref
        stage = STAGE_WORDS[getattr(record, "fault_stage", "reported")]
        url = reverse("faults:fault", args=[ref])
        return format_html('<a href="{}" class="nowrap">{}</a> {}', url, key, stage)

    def render_waits_on(self, record: Any) -> SafeString:
        """Say what holds the station, and since when."""
        return format_html(
            '{} <span class="small soft">{}</span>',
            waits_word(record.waits_on),
            days_words(record.wait_since, record.wait_until if self.sees_work else None),
        )

    def value_waits_on(self, record: Any) -> str:
        """The words alone, for files: the days have columns of their own there."""
        return waits_word(record.waits_on or "")

    def render_mover(self, value: str) -> SafeString:
        """Translate the word."""
        return format_html('<span class="nowrap">{}</span>', mover_word(value))
