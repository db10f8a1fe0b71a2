"""What a leg's page tells of the breaks along it."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef

from faults.access import faults_for
from faults.models import Break
from sites.ground.services.splitting import Parts, parts_of
from sites.models import Leg, Point, User

MOST_BREAKS = 100


@dataclass(frozen=True)
class BreakHere:
    """A break on a leg, and whether the user may open its fault."""

    found: Break
    may_open: bool
    measured_from: Point | None


def breaks_along(user: User, leg: Leg) -> list[BreakHere]:
    """Return the breaks that were found on the leg, newest first.

    They are part of the ground's history, so all are listed, as on the strip.
    """
    rows = (
        Break.objects.filter(leg=leg)
        .annotate(may_open=Exists(faults_for(user).filter(pk=OuterRef("fault"))))
        .select_related("fault", "from_point")
        .order_by("-found_on", "-pk")[:MOST_BREAKS]
    )
    return [_told(found, leg) for found in rows]


def _told(found: Any, leg: Leg) -> BreakHere:
    start = (found.from_point or leg.from_point) if found.feet_along is not None else None
    return BreakHere(found, bool(found.may_open), start)


def whole_and_parts(leg: Leg) -> tuple[Leg | None, Parts | None]:
    """Return the leg from which this one was split, and the parts into which it was split."""
    return leg.split_from, parts_of(leg)
