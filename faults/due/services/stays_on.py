"""What falls due because a station waters and cannot be stopped: shut its water by hand."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.db.models import QuerySet

from faults.due.services.family import Candidate, Family, Told
from faults.models import UNMENDED_STAGES, Fault, FollowUpKind, Symptom


def _wasting() -> QuerySet[Any]:
    """Faults whose station stays on, that nobody has mended yet."""
    rows = Fault.objects.filter(symptom=Symptom.STAYS_ON, stage__in=UNMENDED_STAGES)
    return rows.filter(property__retired_on=None).select_related("property")


def _to_stop(rows: Sequence[Any], told: Told) -> list[Candidate]:
    """One line for each, due at once: what is ticked as done is not raised again."""
    return [
        Candidate(
            f"fault:{fault.pk}:stays on",
            fault.property_id,
            fault.property.time_zone,
            fault.reported_on + timedelta(days=told.days),
            {"fault_id": fault.pk},
        )
        for fault in rows
    ]


FAMILIES = [Family(FollowUpKind.STAYS_ON, _wasting, _to_stop)]
