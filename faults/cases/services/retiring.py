"""What the register asks before it retires stations: whether a fault is open on them."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from faults.models import CLOSED_STAGES, FaultStation


def open_faults_on(station_ids: Sequence[int]) -> str:
    """Return why these stations cannot be retired, or nothing where no fault is open."""
    rows = (
        FaultStation.objects.filter(station__in=station_ids)
        .exclude(stage__in=CLOSED_STAGES)
        .select_related("fault", "station__controller")
        .order_by("fault__reported_on", "pk")
    )
    names = list(dict.fromkeys(str(row.fault) for row in rows[:5]))
    if not names:
        return ""
    return _("A fault is open here: %s. Return, give up or withdraw it first.") % ", ".join(names)
