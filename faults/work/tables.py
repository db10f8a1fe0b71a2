"""Tables of jobs and of their lines."""

from datetime import time

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from faults.models import Crew, Job, JobLine
from faults.templatetags.jobs import money, plain_number, unit_price
from sites.cells.services.shown import Cell, number
from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, PLAIN, RIGHT, DayColumn, SheetTable
from sites.models import Property
from sites.register.tables import property_link


def job_link(job: Job) -> SafeString:
    """Return the link to a job, named by what it is for."""
    url = page_of("faults:job", job.ref)
    return format_html('<a href="{}">{}</a>', url, job.get_kind_display())


class JobTable(SheetTable):
    """Jobs, open and closed."""

    kind = tables.Column(verbose_name=_("Job"), attrs=LEAD)
    property = tables.Column(attrs=PLAIN, verbose_name=_("Property"), order_by="property__code")
    fault = tables.Column(verbose_name=_("Fault"), order_by="fault__key")
    state = tables.Column(attrs=PLAIN, verbose_name=_("State"))
    day = DayColumn(verbose_name=_("Day"))
    starts_at = tables.Column(verbose_name=_("At"))
    crew = tables.Column(verbose_name=_("Crew"), order_by="crew__name")
    expected_minutes = tables.Column(verbose_name=_("Minutes"), attrs=RIGHT)
    priority = tables.Column(verbose_name=_("Priority"), attrs=RIGHT)
    due_on = DayColumn(verbose_name=_("Not after"))

    class Meta(SheetTable.Meta):
        order_by = ("-day",)

    def render_kind(self, record: Job) -> SafeString:
        """Link the job."""
        return job_link(record)

    def render_property(self, value: Property) -> SafeString:
        """Link the property."""
        return property_link(value)

    def render_fault(self, record: Job) -> SafeString:
        """Link the fault."""
        assert record.fault is not None
        url = page_of("faults:fault", record.fault.ref)
        return format_html('<a href="{}">{}</a>', url, record.fault)

    def render_state(self, record: Job) -> str:
        """Translate the state; a lock and a hold are added to it."""
        words = [record.get_state_display()]
        if record.is_locked:
            words.append(str(_("locked")))
        if record.held_for:
            words.append(str(_("held")))
        return ", ".join(words)

    def render_starts_at(self, value: time) -> str:
        """Write the time as a clock shows it."""
        return value.strftime("%H:%M")

    def render_crew(self, value: Crew) -> SafeString:
        """Link the crew."""
        url = page_of("faults:crew", value.ref)
        return format_html('<a href="{}">{}</a>', url, value)

    def value_priority(self, record: Job) -> Cell:
        """A file holds the number."""
        return record.priority


class JobLineTable(SheetTable):
    """Lines of jobs for any book-keeping."""

    on = DayColumn(verbose_name=_("Day"), attrs=LEAD)
    property = tables.Column(
        attrs=PLAIN,
        verbose_name=_("Property"),
        accessor="job__property",
        order_by="job__property__code",
    )
    client = tables.Column(
        attrs=PLAIN,
        verbose_name=_("Client"),
        accessor="job__property__client",
        order_by="job__property__client__name",
    )
    job = tables.Column(verbose_name=_("Job"), order_by="job__ref")
    kind = tables.Column(verbose_name=_("Kind"), attrs=PLAIN)
    what = tables.Column(verbose_name=_("What"), attrs=PLAIN)
    quantity = tables.Column(verbose_name=_("Quantity"), attrs=RIGHT)
    unit = tables.Column(verbose_name=_("Unit"), attrs=PLAIN)
    unit_price = tables.Column(verbose_name=_("Price per unit"), attrs=RIGHT)
    amount = tables.Column(verbose_name=_("Amount"), attrs=RIGHT, orderable=False, empty_values=())
    currency = tables.Column(verbose_name=_("Currency"), attrs=PLAIN, orderable=False)
    basis = tables.Column(verbose_name=_("Who pays"), attrs=PLAIN)
    given_on = DayColumn(verbose_name=_("Given to the books on"))

    class Meta(SheetTable.Meta):
        order_by = ("-on",)

    def render_property(self, value: Property) -> SafeString:
        """Link the property."""
        return property_link(value)

    def render_client(self, record: JobLine) -> str:
        """Name who pays for the property."""
        return record.job.property.client.name

    def render_job(self, value: Job) -> SafeString:
        """Link the job by its reference, which never changes."""
        return format_html('<a href="{}">{}</a>', page_of("faults:job", value.ref), value.ref)

    def render_kind(self, record: JobLine) -> str:
        """Translate the word."""
        return record.get_kind_display()

    def render_basis(self, record: JobLine) -> str:
        """Translate the word."""
        return record.get_basis_display()

    def render_quantity(self, record: JobLine) -> str:
        """Write no nought that says nothing."""
        return plain_number(record.quantity)

    def render_unit_price(self, record: JobLine) -> str:
        """Write cents, and more places only where there are some."""
        return unit_price(record.unit_price)

    def render_amount(self, record: JobLine) -> str:
        """Write the money to the cent."""
        return "" if record.amount is None else money(record.amount)

    def value_quantity(self, record: JobLine) -> Cell:
        """A file holds the number."""
        return number(record.quantity)

    def value_unit_price(self, record: JobLine) -> Cell:
        """A file holds the number, or nothing where no price is known."""
        return "" if record.unit_price is None else number(record.unit_price)

    def value_amount(self, record: JobLine) -> Cell:
        """A file holds the rounded money, or nothing where no price is known."""
        return "" if record.amount is None else number(record.amount)
