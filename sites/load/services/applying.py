"""Write a planned load, and rebuild what is derived from it."""

from collections.abc import Sequence

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.load.services.load import Load
from sites.load.services.sheets.controllers import LinkNotes
from sites.load.services.work import Work, write
from sites.models import (
    ClimateRow,
    Property,
    Schedule,
    Station,
    StationFacts,
    Stopgap,
    Tariff,
    User,
)
from sites.runs.services import Progress
from sites.stopgaps.services.spells import rebuild_spells
from sites.water.services.keeping import touch, water_kept

STATIONS_AT_ONCE = 2000


def apply_load(
    load: Load, tables: Sequence[type[Model]], *, user: User | None, progress: Progress
) -> None:
    """Write all records with their history, then the spells and the water that follow.

    Expects to run inside a transaction.
    """
    reason = _("loaded from %(filename)s") % {"filename": load.filename}
    write(load.work, tables, user=user, reason=reason, progress=progress)
    touched = sorted(_touched(load))
    with water_kept():
        for start in range(0, len(touched), STATIONS_AT_ONCE):
            progress.say(_("Working out the days off central control"), start, len(touched))
            rebuild_spells(touched[start : start + STATIONS_AT_ONCE])
        _touch_water(load.work)


def _touched(load: Load) -> set[int]:
    """Stations whose own days changed, and all stations of controllers whose link changed."""
    controllers = load.notes(LinkNotes).changed
    touched = {station.pk for station in load.work.touched_stations}
    touched |= set(
        Station.objects.filter(controller__in={each.pk for each in controllers}).values_list(
            "pk", flat=True
        )
    )
    return touched


def _touch_water(work: Work) -> None:
    """Writing in bulk sends no signal: touch whose water follows from what was written."""
    stopgaps, climate = work.written(Stopgap), work.written(ClimateRow)
    of_stations: list[Schedule | StationFacts | Stopgap] = [
        *work.written(Schedule),
        *work.written(StationFacts),
        *stopgaps,
    ]
    of_places: list[Tariff | ClimateRow] = [*work.written(Tariff), *climate]
    stations = set(work.changed.get(Station, {}))
    touch(
        stations={row.station.pk for row in of_stations} | stations,
        mains={row.station.pk for row in stopgaps} | stations,
        places={row.property.pk for row in of_places if row.property}
        | set(work.changed.get(Property, {})),
        tables={row.table for row in climate if row.property is None},
    )
