"""The table of travel between the places of a rota."""

from math import ceil

from faults.models import Crew, Job
from faults.work.engines.travel import Place, travel_minutes

# Our own choice, shown with each plan: what an unknown drive is taken for.
UNKNOWN_DRIVE_MIN = 20
_ROUNDED_TO_MIN = 5


def rounded_up(minutes: int) -> int:
    """Return minutes as people keep them: rounded up to five."""
    return ceil(minutes / _ROUNDED_TO_MIN) * _ROUNDED_TO_MIN


class Places:
    """The rows of the table of travel: one for each property and yard."""

    def __init__(self) -> None:
        self._rows: dict[tuple[str, int], int] = {}
        self._places: list[Place | None] = []
        self.unknown: list[str] = []

    def property(self, job: Job) -> int:
        """Return the row of a job's property."""
        place = job.property
        return self._row(("property", place.pk), place.latitude, place.longitude, place.name)

    def yard(self, crew: Crew) -> int:
        """Return the row of a crew's yard."""
        return self._row(("yard", crew.pk), crew.yard_latitude, crew.yard_longitude, crew.name)

    def _row(
        self, key: tuple[str, int], latitude: float | None, longitude: float | None, name: str
    ) -> int:
        if key not in self._rows:
            self._rows[key] = len(self._places)
            if latitude is None or longitude is None:
                self._places.append(None)
                self.unknown.append(name)
            else:
                self._places.append(Place(latitude, longitude))
        return self._rows[key]

    def minutes(self) -> list[list[int]]:
        """Return the drives, rounded up to times that people keep; assumed where a place is not
        known."""
        return [
            [0 if n == m else _drive(a, b) for m, b in enumerate(self._places)]
            for n, a in enumerate(self._places)
        ]


def _drive(start: Place | None, end: Place | None) -> int:
    if start is None or end is None:
        return UNKNOWN_DRIVE_MIN
    return rounded_up(travel_minutes(start, end))
