"""Which numbers stations had before: a file that brings one back is older than the renumbering."""

from datetime import date

from django.db.models import F, OuterRef, Subquery
from django.utils.translation import gettext as _

from sites.load.services.planning import Load
from sites.load.services.rows import Row
from sites.models import Controller, Station


class FormerNumbers:
    """Numbers that stations of the touched properties gave up, each with the last day."""

    def __init__(self, load: Load) -> None:
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
        self._until: dict[tuple[int, int], date] = {}
        self._holder: dict[tuple[int, int], Station] = {}
        for pk, number, at in rows:
            if pk in stations:
                self._until[pk, number] = at.date()
                self._holder[stations[pk].controller_id, number] = stations[pk]

    def of(self, station: Station, number: int) -> date | None:
        """Return the last day on which the station is known to have had this number."""
        return self._until.get((station.pk, number))

    def holder(self, controller: Controller, number: int) -> Station | None:
        """Return the station that had this number of the controller before."""
        return self._holder.get((controller.pk, number))


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


def former_numbers(load: Load) -> FormerNumbers:
    """Return the former numbers of this load, read when first needed."""
    if "former numbers" not in load.notes:
        load.notes["former numbers"] = FormerNumbers(load)
    found: FormerNumbers = load.notes["former numbers"]
    return found
