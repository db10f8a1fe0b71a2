"""What falls due because a promised day slips: the plan no longer keeps it."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from faults.due.services.family import Candidate, Family, Told
from faults.models import FollowUpKind
from faults.promises.engines.promising import slips
from faults.promises.services.outlook import outlooks
from faults.promises.services.standing import standing_promises


def _slipping(rows: Sequence[Any], told: Told) -> list[Candidate]:
    near = [
        row
        for row in rows
        if row.by_on - timedelta(days=told.days) <= told.today(row.fault.property.time_zone)
    ]
    looks = outlooks([row.fault for row in near], at=told.at, kept=told.kept)
    found = []
    for row in near:
        zone = row.fault.property.time_zone
        today = told.today(zone)
        if slips(looks[row.fault_id].chance((row.by_on - today).days), row.tenths):
            found.append(
                Candidate(
                    f"promise:{row.pk}:{row.by_on.isoformat()}",
                    row.fault.property_id,
                    zone,
                    None,
                    {"fault_id": row.fault_id},
                )
            )
    return found


FAMILIES = [Family(FollowUpKind.PROMISE_SLIPS, standing_promises, _slipping)]
