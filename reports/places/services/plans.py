"""The site plan of a property: its ground, with what broke in it and what hangs on it."""

from collections import defaultdict
from collections.abc import Callable, Sequence

from django.db.models import Count, Q
from django.urls import NoReverseMatch, reverse

from reports.off_central.queries import breaks_by_leg
from sites.ground.charts.bases import Base, best_base, possible_bases
from sites.ground.charts.plan import OnPoint, Shown, no_address, plan
from sites.ground.services.plan_picture import earlier_plan_picture
from sites.models import Feed, Leg, PlanPicture, Point, Property, Wire, WireKind, WireLeg
from sites.models.base import REF_ALPHABET, REF_LENGTH
from sites.register.queries.stations import control_of, legs_of

MOST_LEGS_DRAWN = 3000


def plan_of(place: Property, asked: str = "") -> dict[str, object]:
    """Return the plan on the requested base, or on the best one, with the bases to choose from.

    Queries: legs, loose points, picture, breaks, spares, controllers, stations.
    """
    legs = legs_of(place, most=MOST_LEGS_DRAWN)
    loose = _loose(place)
    picture = PlanPicture.objects.filter(property=place).first()
    points = _points(legs, loose)
    bases = possible_bases(points, picture)
    base = Base(asked) if asked in bases else best_base(_points(legs, ()) or points, picture)
    drawn = plan(legs, loose, base=base, picture=picture, shown=_shown(place))
    return {
        "place": place,
        "plan": drawn,
        "bases": bases if drawn else [],
        "plan_picture": picture,
        "has_earlier_picture": earlier_plan_picture(place) is not None,
        "is_cut": len(legs) == MOST_LEGS_DRAWN,
    }


def _points(legs: Sequence[Leg], loose: Sequence[Point]) -> list[Point]:
    ends = {leg.from_point_id: leg.from_point for leg in legs}
    ends |= {leg.to_point_id: leg.to_point for leg in legs}
    return [*ends.values(), *loose]


def _loose(place: Property) -> list[Point]:
    """Return points that no leg touches and that have a place somewhere."""
    legs = place.legs.in_ground().order_by()
    return list(
        place.points.filter(retired_on__isnull=True)
        .filter(Q(latitude__isnull=False) | Q(plan_x_px__isnull=False))
        .exclude(pk__in=legs.values("from_point"))
        .exclude(pk__in=legs.values("to_point"))
        .order_by("name", "pk")[:MOST_LEGS_DRAWN]
    )


def _shown(place: Property) -> Shown:
    return Shown(
        breaks=breaks_by_leg(place),
        spares=spares_by_leg(place),
        stations=_stations_by_point(place),
        leg_address=address_of("faults:leg"),
        point_address=address_of("sites:point"),
    )


def spares_by_leg(place: Property) -> dict[int, int]:
    """Return how many spare wires can still be used on each leg in which any wire is known.

    A spare that serves a station, is out of use or is thought broken is none.
    """
    served = Feed.objects.open().filter(wire__property=place).values("wire")
    left = Wire.objects.filter(
        property=place,
        kind=WireKind.SPARE,
        retired_on__isnull=True,
        out_of_use_on__isnull=True,
        is_suspected_broken=False,
    ).exclude(pk__in=served)
    rows = WireLeg.objects.filter(wire__property=place, wire__retired_on__isnull=True)
    counted = rows.order_by().values_list("leg")
    return dict(counted.annotate(n=Count("pk", filter=Q(wire__in=left))))


def _stations_by_point(place: Property) -> dict[int, list[OnPoint]]:
    controllers = list(place.controllers.in_care().order_by("name", "pk"))
    at: dict[int, list[OnPoint]] = defaultdict(list)
    for cells in control_of(controllers).values():
        for cell in cells:
            if cell.station.valve_point_id is not None:
                at[cell.station.valve_point_id].append(OnPoint(cell.station, cell.state))
    return at


def address_of(name: str) -> Callable[[str], str]:
    """Return what makes the address of one kind of thing from its reference.

    Resolved once: a large plan has thousands of links.
    """
    sample = REF_ALPHABET[0] * REF_LENGTH
    try:
        address = reverse(name, args=[sample])
    except NoReverseMatch:
        return no_address
    return lambda ref: address.replace(sample, ref)
