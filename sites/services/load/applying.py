"""Write a planned load, and keep what is derived true to it."""

from collections.abc import Sequence

from django.db.models import Model
from django.utils.translation import gettext as _

from sites.models import Controller, Station, User
from sites.services.load.planning import Load
from sites.services.load.work import write
from sites.services.runs import Progress
from sites.services.spells import rebuild_spells

STATIONS_AT_ONCE = 2000


def apply_load(
    load: Load, tables: Sequence[type[Model]], *, user: User | None, progress: Progress
) -> None:
    """Write all records with their history, then the spells that follow from them.

    Expects to run inside a transaction.
    """
    reason = _("loaded from %(filename)s") % {"filename": load.filename}
    write(load.work, tables, user=user, reason=reason, progress=progress)
    touched = sorted(_touched(load))
    for start in range(0, len(touched), STATIONS_AT_ONCE):
        progress.say(_("Working out the days off central control"), start, len(touched))
        rebuild_spells(touched[start : start + STATIONS_AT_ONCE])


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
