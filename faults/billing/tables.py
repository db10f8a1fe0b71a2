"""Tables of finished and unbilled lines, and of batches."""

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from faults.billing.queries import stations_named
from faults.billing.services.claims import cost_of
from faults.billing.services.files import sums_of_entries
from faults.models import BookBatch, DamageClaim, JobLine
from faults.templatetags.jobs import money
from faults.work.tables import JobLineTable
from sites.cells.services.shown import Cell, number
from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, PLAIN, RIGHT, DayColumn, SheetTable
from sites.models import Property
from sites.register.tables import property_link


class UnbilledTable(JobLineTable):
    """Lines of finished work that are in no batch, with what a bill names."""

    number = tables.Column(verbose_name=_("Line"), accessor="pk", order_by="pk", attrs=RIGHT)
    fault = tables.Column(
        verbose_name=_("Fault"), accessor="job__fault", order_by="job__fault__key"
    )
    stations = tables.Column(
        verbose_name=_("Stations"), accessor="job", orderable=False, attrs=PLAIN
    )
    order = tables.Column(verbose_name=_("Order number"))
    approver = tables.Column(verbose_name=_("Who said yes"))
    charged = tables.Column(verbose_name=_("Charged"), attrs=RIGHT, orderable=False)

    class Meta(SheetTable.Meta):
        order_by = ("on",)

    def render_number(self, record: JobLine) -> SafeString:
        """Lead to the visit."""
        return format_html('<a href="{}">{}</a>', page_of("faults:job", record.job.ref), record.pk)

    def value_number(self, record: JobLine) -> Cell:
        """A file holds the number."""
        return record.pk

    def render_fault(self, record: JobLine) -> SafeString:
        """Link the fault."""
        fault = record.job.fault
        assert fault is not None
        return format_html('<a href="{}">{}</a>', page_of("faults:fault", fault.ref), fault)

    def render_stations(self, record: JobLine) -> str:
        """Name the stations of the visit."""
        return stations_named(record)

    def render_charged(self, record: JobLine) -> str:
        """Write the money: 0.00 where the warranty or the contract pays."""
        return "" if record.charged is None else money(record.charged)

    def value_charged(self, record: JobLine) -> Cell:
        """A file holds the number, or nothing where no price is known."""
        return "" if record.charged is None else number(record.charged)


# What is charged stands where it is seen without scrolling.
_ORDER = (
    "on", "number", "what", "charged", "currency", "basis", "client", "property", "fault",
    "stations", "quantity", "unit", "unit_price", "order", "approver",
)  # fmt: skip
UnbilledTable.base_columns = {name: UnbilledTable.base_columns[name] for name in _ORDER}


class BatchTable(SheetTable):
    """Batches that were given to the books, those taken back among them."""

    number = tables.Column(verbose_name=_("Batch"), accessor="pk", order_by="pk", attrs=LEAD)
    given_on = DayColumn(verbose_name=_("Given to the books on"))
    line_total = tables.Column(verbose_name=_("Lines"), attrs=RIGHT)
    charged = tables.Column(verbose_name=_("Charged"), accessor="pk", orderable=False, attrs=PLAIN)
    given_by = tables.Column(verbose_name=_("By"), attrs=PLAIN, order_by="given_by__username")
    taken_back_on = DayColumn(verbose_name=_("Taken back on"))
    why_taken_back = tables.Column(verbose_name=_("Why"), attrs=PLAIN, orderable=False)

    class Meta(SheetTable.Meta):
        order_by = ("-number",)

    def render_number(self, record: BookBatch) -> SafeString:
        """Link the batch."""
        return format_html('<a href="{}">{}</a>', page_of("faults:batch", record.ref), record)

    def render_charged(self, record: BookBatch) -> str:
        """Write the sums, each currency by itself."""
        return " · ".join(sums_of_entries(list(record.entries.all())).words)

    def value_number(self, record: BookBatch) -> Cell:
        """A file holds the number."""
        return record.pk


class ClaimTable(SheetTable):
    """Claims for damage, with what they cost."""

    liable_party = tables.Column(verbose_name=_("Liable party"), attrs=LEAD)
    fault = tables.Column(verbose_name=_("Fault"), order_by="fault__key")
    property = tables.Column(
        verbose_name=_("Property"),
        attrs=PLAIN,
        accessor="fault__property",
        order_by="fault__property__code",
    )
    claim_number = tables.Column(verbose_name=_("Claim number"), attrs=PLAIN)
    made_on = DayColumn(verbose_name=_("Claimed on"))
    cost = tables.Column(verbose_name=_("Cost"), accessor="pk", orderable=False, attrs=PLAIN)
    state = tables.Column(verbose_name=_("State"), accessor="pk", orderable=False, attrs=PLAIN)

    class Meta(SheetTable.Meta):
        order_by = ("-made_on",)

    def render_liable_party(self, record: DamageClaim) -> SafeString:
        """Link the claim."""
        url = page_of("faults:claim", record.ref)
        return format_html('<a href="{}">{}</a>', url, record.liable_party)

    def render_fault(self, record: DamageClaim) -> SafeString:
        """Link the fault."""
        url = page_of("faults:fault", record.fault.ref)
        return format_html('<a href="{}">{}</a>', url, record.fault)

    def render_property(self, value: Property) -> SafeString:
        """Link the property."""
        return property_link(value)

    def render_cost(self, record: DamageClaim) -> str:
        """Write the sums, each currency by itself."""
        lines = [line for job in record.fault.jobs.all() for line in job.lines.all()]
        return " · ".join(cost_of(lines).words) or str(_("no line yet"))

    def render_state(self, record: DamageClaim) -> str:
        """Say whether it is paid, or was dropped."""
        if record.dropped_on is not None:
            return _("dropped %s") % record.dropped_on.isoformat()
        if record.paid_on is not None:
            return _("paid %s") % record.paid_on.isoformat()
        return str(_("not paid"))
