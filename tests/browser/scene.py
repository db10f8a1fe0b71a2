"""A register with something of everything, and the addresses of the pages that show it."""

from dataclasses import dataclass
from datetime import date, time, timedelta
from decimal import Decimal

from django.utils import timezone

from sites.kernel.engines.roles import Role
from sites.models import Contact, Property, Schedule, Station, StationFacts, Tariff, User
from sites.stopgaps.engines.spells import Reason
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_jobs
from tests.cast import OURS, Corner, make_corner
from tests.web.addresses import every_address, samples_for
from tests.web.pages import signed_in

WAY = (("scene clock", "controller"), ("scene box", "splice box"), ("scene valve", "valve box"))


@dataclass(frozen=True)
class Scene:
    """The owner, who sees all of it, and one property of it."""

    owner: User
    corner: Corner

    def addresses(self) -> dict[str, str]:
        """Return by name every address that answers the owner with a whole page."""
        samples = samples_for(self.corner, starter=self.owner)
        urls = {each.name: each.url(samples) for each in every_address()}
        return {name: url for name, url in urls.items() if _is_page(self.owner, url)}

    @property
    def station(self) -> Station:
        """A station with a strip and a break on it."""
        return self.corner.off_central


def make_scene() -> Scene:
    """Make the register and its owner."""
    corner = make_corner(OURS)
    owner = make.user(Role.OWNER, username="olive", first_name="Olive")
    _lay_a_wire(corner)
    _write_everything_down(corner)
    _take_stations_off_for_every_reason(corner.property)
    _put_jobs_on_the_board(corner)
    return Scene(owner, corner)


def _is_page(owner: User, url: str) -> bool:
    answer = signed_in(owner).get(url)
    assert answer.status_code < 500, url
    is_html = answer.headers.get("Content-Type", "").startswith("text/html")
    return answer.status_code == 200 and is_html and b"<html" in answer.content


def _lay_a_wire(corner: Corner) -> None:
    """Lay a wire to the station in two legs, spliced on the way, broken once."""
    place, station = corner.property, corner.off_central
    points = [
        make.point(
            property=place, name=name, kind=kind, latitude=33.46 + n / 1000, longitude=-113.9
        )
        for n, (name, kind) in enumerate(WAY)
    ]
    wire = make.wire(property=place, name="scene hot")
    for start, end in ((0, 1), (1, 2)):
        leg = make.leg(
            property=place, from_point=points[start], to_point=points[end], cover="paving"
        )
        wire.lies.create(leg=leg)
    wire.feeds.create(station=station)
    wire.at_points.create(point=points[1], how="spliced")
    station.valve_point = points[2]
    station.save()
    corner.fault.breaks.create(
        leg=leg, feet_along=30, cause="rodent", running_number=7, found_on=date(2025, 3, 1)
    )


def _write_everything_down(corner: Corner) -> None:
    place, station = corner.property, corner.off_central
    Tariff.objects.create(property=place, water_price=Decimal("6.4"), price_unit="kgal")
    Contact.objects.create(property=place, name="Pip", role="approves", phone="555-0101")
    StationFacts.objects.create(station=station, area_sqft=900, flow_gpm=12, plant_kind="turf")
    Schedule.objects.create(station=station, from_on=date(2025, 1, 1), minutes=20, days="every 3")
    place.soil = "clay loam"
    place.save()


def _put_jobs_on_the_board(corner: Corner) -> None:
    """Let two jobs overlap today, one of them locked, with a crew that is away tomorrow."""
    today = timezone.localdate()
    crew = make_jobs.crew(make.user(Role.TECHNICIAN), name="scene crew")
    crew.away.create(from_on=today + timedelta(days=1), to_on=today + timedelta(days=2))
    for kind, is_locked in (("locate", True), ("dig and mend", False)):
        make_jobs.job(
            fault=corner.fault,
            kind=kind,
            crew=crew,
            day=today,
            starts_at=time(8),
            is_locked=is_locked,
        )
    make_jobs.job(property=corner.property, kind="battery round")


def _take_stations_off_for_every_reason(place: Property) -> None:
    today = timezone.localdate()
    lost = make.controller(property=place, name="no link", central="link lost")
    make.central_state(controller=lost, from_on=today - timedelta(days=40))
    linked = make.controller(property=place, name="linked")
    off = [make.station(controller=lost)]
    for months, reason in enumerate(each for each in Reason if each is not Reason.LINK_LOST):
        station = make.station(controller=linked)
        make.stopgap(
            station=station, on=today - timedelta(days=31 * months + 2), reason=reason.value
        )
        off.append(station)
    make.station(controller=make.controller(property=place, central="not meant to be linked"))
    make.station(controller=make.controller(property=place, central="not known"))
    rebuild_spells(station.pk for station in off)
