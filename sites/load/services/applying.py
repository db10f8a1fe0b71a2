"""Write a planned load, and rebuild what is derived from it."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.load.services.planning import Load
from sites.load.services.work import Work, write
from sites.models import (
    ClimateRow,
    Controller,
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
        touch(**_water_touched(load.work))


def _touched(load: Load) -> set[int]:
    """Stations whose own days changed, and all stations of controllers whose link changed."""
    controllers: list[Controller] = load.notes.get("controllers whose link changed", [])
    touched = {station.pk for station in load.work.touched_stations.values()}
    touched |= set(
        Station.objects.filter(controller__in={each.pk for each in controllers}).values_list(
            "pk", flat=True
        )
    )
    return touched


def _water_touched(work: Work) -> dict[str, set[Any]]:
    """Writing in bulk sends no signal: whose water follows from what was written."""

    def written(model: type[Model]) -> list[Any]:
        changed = [record for record, _fields in work.changed.get(model, {}).values()]
        return [*work.created.get(model, []), *changed]

    of_stations = [*written(Schedule), *written(StationFacts), *written(Stopgap)]
    climate = written(ClimateRow)
    stations = set(work.changed.get(Station, {}))
    return {
        "stations": {row.station.pk for row in of_stations} | stations,
        "mains": {row.station.pk for row in written(Stopgap)} | stations,
        "places": {row.property.pk for row in [*written(Tariff), *climate] if row.property}
        | set(work.changed.get(Property, {})),
        "tables": {row.table for row in climate if row.property is None},
    }
