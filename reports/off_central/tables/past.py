"""Stations that were off central control on a past day, with their water until then."""

from datetime import date
from typing import Any

import django_tables2 as tables
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from reports.off_central.tables.today import OffCentralTable
from sites.kernel.tables import RIGHT
from sites.models import SpellPart

NOT_KEPT = ("fault", "waits_on", "mover", "wait_since", "wait_until")


class OffCentralOnTable(OffCentralTable):
    """Rows of `off_central_rows_on`, on which `put_water_on` has put what it had cost."""

    # Computed for the rows that are shown: the database cannot order by them.
    excess_gal = tables.Column(
        accessor="spell__meter__excess_gal",
        verbose_name=_("Excess water"),
        empty_values=(),
        orderable=False,
        attrs=RIGHT,
    )
    cost = tables.Column(
        accessor="seen_cost",
        verbose_name=_("It costs"),
        empty_values=(),
        orderable=False,
        attrs=RIGHT,
    )

    class Meta(OffCentralTable.Meta):
        pass

    def __init__(self, *args: Any, day: date, exclude: Any = (), **kwargs: Any) -> None:
        self.day = day
        self.caption = _("Off central on %s") % day.isoformat()
        super().__init__(*args, at=timezone.now(), exclude=(*exclude, *NOT_KEPT), **kwargs)

    def until(self, record: SpellPart) -> date:
        """Count each row's days until the day that is shown."""
        return self.day

    def order_days(self, rows: Any, is_descending: bool) -> tuple[Any, bool]:
        """Order by first day: all rows are counted until the same day."""
        return rows.order_by("spell__from_on" if is_descending else "-spell__from_on"), True
