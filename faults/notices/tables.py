"""The table of notices."""

from functools import cached_property

import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from faults.models import Notice
from faults.notices.engines.dig_gate import PlannedDig
from faults.notices.services.book import NoticeBook
from faults.notices.services.terms import zone_of
from faults.notices.services.words import headline
from sites.kernel.links import page_of
from sites.kernel.tables import LEAD, PLAIN, RIGHT, DayColumn, SheetTable
from sites.register.tables import property_link


class NoticeTable(SheetTable):
    """Notices with what each says today. Rows carry the moment of the query."""

    ticket = tables.Column(verbose_name=_("Ticket"), attrs=LEAD)
    property = tables.Column(attrs=PLAIN, verbose_name=_("Property"), order_by="property__code")
    fault = tables.Column(verbose_name=_("Fault"), order_by="fault__key")
    given_at = tables.Column(verbose_name=_("Given"))
    proposed_start_on = DayColumn(verbose_name=_("Proposed start"))
    printed_start_on = DayColumn(verbose_name=_("Printed start"))
    printed_expiry_on = DayColumn(verbose_name=_("Printed expiry"))
    unsettled = tables.Column(verbose_name=_("Not answered"), attrs=RIGHT)
    today = tables.Column(
        attrs={"td": {"class": "plain wide"}},
        verbose_name=_("Today"),
        orderable=False,
        empty_values=(),
    )

    class Meta(SheetTable.Meta):
        order_by = ("-given_at",)

    @cached_property
    def _book(self) -> NoticeBook:
        """The rules, read once for all rows; the tickets are the rows themselves."""
        return NoticeBook.of([])

    def render_ticket(self, record: Notice) -> SafeString:
        """Link the notice."""
        url = page_of("faults:notice", record.ref)
        return format_html('<a href="{}" class="nowrap">{}</a>', url, record)

    def render_property(self, record: Notice) -> SafeString:
        """Link the property."""
        return property_link(record.property)

    def render_fault(self, record: Notice) -> SafeString:
        """Link the fault."""
        url = reverse("faults:fault", args=[record.fault.ref if record.fault else ""])
        return format_html('<a href="{}" class="nowrap">{}</a>', url, record.fault)

    def render_given_at(self, record: Notice) -> str:
        """Write the moment on the property's clock."""
        local = timezone.localtime(record.given_at, zone_of(record.property))
        return f"{local:%Y-%m-%d %H:%M}"

    def render_today(self, record: Notice) -> str:
        """Say in one sentence whether digging is allowed."""
        if record.cancelled_on is not None:
            return _now("cancelled %s") % record.cancelled_on.isoformat()
        moment = record.asked_at  # type: ignore[attr-defined]
        dig = PlannedDig(moment, moment)
        return headline(self._book.judge_ticket(record, record.property, dig))
