"""What falls due because central's own list and the register differ: put one of them right."""

from collections.abc import Sequence
from datetime import timedelta

from faults.due.services.family import Candidate, Family, Told, local_day
from faults.models import FollowUpKind
from sites.models import Property
from sites.reconcile.queries import first_shown, places_that_differ


def _to_settle(rows: Sequence[Property], told: Told) -> list[Candidate]:
    """One line for each list that showed something new at a property, while any of it stands."""
    places = {place.pk: place for place in rows}
    return [
        Candidate(
            f"property:{place}:{shown_by}",
            place,
            places[place].time_zone,
            local_day(places[place].time_zone, since) + timedelta(days=told.days),
        )
        for place, shown_by, since in first_shown(places)
    ]


FAMILIES = [Family(FollowUpKind.CENTRAL_DIFFERS, places_that_differ, _to_settle)]
