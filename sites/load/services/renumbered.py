"""Which numbers stations had before: a file that brings one back is older than the renumbering."""

from dataclasses import dataclass
from datetime import date
from typing import Self

from django.db.models import F, OuterRef, Subquery
from django.utils.translation import gettext as _

from sites.load.services.load import Load, Notes
from sites.load.services.rows import Row
from sites.models import Controller, Station


@dataclass
class FormerNumbers(Notes):
    """Numbers that stations of the touched properties gave up, each with the last day."""

    until: dict[tuple[int, int], date]
    holders: dict[tuple[int, int], Station]

    @classmethod
    def begin(cls, load: Load) -> Self:
        """Read them from the history."""
        stations = {row.pk: row for row in load.book.stations.by_ref.values()}
        now = Station.objects.filter(pk=OuterRef("id"), retired_on__isnull=True).values("number")
        rows = (
            Station.history.filter(controller__property_id__in=list(load.book.touched))
            .annotate(now=Subquery(now[:1]))
            .exclude(number=F("now"))
            .exclude(now__isnull=True)
            .order_by("history_date")
            .values_list("id", "number", "history_date")
        )
        found = cls({}, {})
        for pk, number, at in rows:
            if pk in stations:
                found.until[pk, number] = at.date()
                found.holders[stations[pk].controller_id, number] = stations[pk]
        return found

    def of(self, station: Station, number: int) -> date | None:
        """Return the last day on which the station is known to have had this number."""
        return self.until.get((station.pk, number))

    def holder(self, controller: Controller, number: int) -> Station | None:
        """Return the station that had this number of the controller before."""
        return self.holders.get((controller.pk, number))


def refuse_old_number(row: Row, former: Station, record: object | None) -> None:
    """Refuse a row that tells of the station which had this number before it was renumbered."""
    if record is None:
        return
    row.problem(
        "stations" if "stations" in row.sheet.columns else "station number",
        _(
            "This belongs to %(station)s, which had this number before it was renumbered. The "
            "file is older than that: export a new one, or write the present number."
        )
        % {"station": str(former)},
    )
