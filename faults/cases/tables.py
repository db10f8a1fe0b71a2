"""Tables of faults."""

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from faults.models import Cause, Fault
from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, PLAIN, RIGHT, DayColumn, SheetTable
from sites.register.tables import property_link

CAUSE_WORDS = dict(Cause.choices)


class FaultTable(SheetTable):
    """Faults, open and closed."""

    key = tables.Column(verbose_name=_("Fault"), attrs=LEAD, empty_values=())
    property = tables.Column(attrs=PLAIN, verbose_name=_("Property"), order_by="property__code")
    reported_on = DayColumn(verbose_name=_("Reported"))
    symptom = tables.Column(attrs=PLAIN, verbose_name=_("Symptom"))
    stage = tables.Column(attrs=PLAIN, verbose_name=_("Stage"))
    station_total = tables.Column(verbose_name=_("Stations"), attrs=RIGHT)
    first_cause = tables.Column(attrs=PLAIN, verbose_name=_("Cause"))
    closed_on = DayColumn(verbose_name=_("Closed"))

    class Meta(SheetTable.Meta):
        order_by = ("-reported_on",)

    def render_key(self, record: Fault) -> SafeString:
        """Link the fault."""
        return format_html(
            '<a href="{}" class="nowrap">{}</a>', page_of("faults:fault", record.ref), record
        )

    def render_property(self, record: Fault) -> SafeString:
        """Link the property."""
        return property_link(record.property)

    def render_symptom(self, record: Fault) -> str:
        """Translate the word."""
        return record.get_symptom_display()

    def render_stage(self, record: Fault) -> str:
        """Translate the word."""
        return record.get_stage_display()

    def render_first_cause(self, value: str) -> str:
        """Translate the word."""
        return str(CAUSE_WORDS[value])
