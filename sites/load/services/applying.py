"""Write a planned load, and rebuild what is derived from it."""

from collections.abc import Sequence
from functools import partial

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.load.services.load import Load
from sites.load.services.sheets.controllers import LinkNotes
from sites.load.services.work import Work, Written, write
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
from sites.stopgaps.services.keeping_spells import spells_kept
from sites.stopgaps.services.keeping_spells import touch as touch_spells
from sites.water.services.keeping import touch, water_kept


def apply_load(
    load: Load, tables: Sequence[type[Model]], *, user: User | None, progress: Progress
) -> list[Written]:
    """Write all records with their history, then the spells and the water that follow.

    Expects to run inside a transaction.
    """
    reason = _("loaded from %(filename)s") % {"filename": load.filename}
    written = write(load.work, tables, user=user, reason=reason, progress=progress)
    say = partial(progress.say, _("Working out the days off central control"))
    with water_kept(), spells_kept(say=say):
        _touch_water(load.work)
        touch_spells(
            stations={station.pk for station in load.work.touched_stations},
            controllers={controller.pk for controller in load.notes(LinkNotes).changed},
        )
    return written


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
