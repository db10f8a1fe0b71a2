"""Each named rule on points, legs and wires refuses what it names."""

from datetime import date, timedelta

import pytest

from sites.models import Feed, Termination, WireAtPoint, WireLeg
from tests import make
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db

DAY = date(2025, 3, 10)
BEFORE = DAY - timedelta(days=1)


def test_point_named_once_per_property() -> None:
    point = make.point(name="B1")
    make.point(name="B1")
    with refused_by("point_named_once_per_property"):
        make.point(property=point.property, name="B1")


@pytest.mark.parametrize(
    "position",
    [
        {"latitude": 10.0},
        {"longitude": 10.0},
        {"latitude": 91.0, "longitude": 0.0},
    ],
)
def test_point_has_both_coordinates_or_none(position: dict[str, float]) -> None:
    with refused_by("point_has_both_coordinates_or_none"):
        make.point(**position)


def test_leg_labelled_once_per_property() -> None:
    leg = make.leg(label="L1")
    make.leg(property=leg.property)
    make.leg(property=leg.property)
    with refused_by("leg_labelled_once_per_property"):
        make.leg(property=leg.property, label="L1")


def test_leg_between_two_points_numbered_once() -> None:
    leg = make.leg()
    ends = {"property": leg.property, "from_point": leg.from_point, "to_point": leg.to_point}
    make.leg(**ends, running_number=2)
    with refused_by("leg_between_two_points_numbered_once"):
        make.leg(**ends)


def test_leg_length_not_negative() -> None:
    with refused_by("leg_length_not_negative"):
        make.leg(length_ft=-0.5)


def test_leg_joins_two_points() -> None:
    point = make.point()
    with refused_by("leg_joins_two_points"):
        make.leg(property=point.property, from_point=point, to_point=point)


def test_wire_named_once_per_property() -> None:
    wire = make.wire(name="H1")
    make.wire(name="H1")
    with refused_by("wire_named_once_per_property"):
        make.wire(property=wire.property, name="H1")


def test_wire_laid_window_in_order() -> None:
    with refused_by("wire_laid_window_in_order"):
        make.wire(laid_earliest=DAY, laid_latest=BEFORE)


def test_wire_lies_once_in_a_leg() -> None:
    lies = {"wire": make.wire(), "leg": make.leg()}
    WireLeg.objects.create(**lies)
    with refused_by("wire_lies_once_in_a_leg"):
        WireLeg.objects.create(**lies)


def test_wire_does_one_thing_at_a_point() -> None:
    here = {"wire": make.wire(), "point": make.point()}
    WireAtPoint.objects.create(**here, how="spliced")
    with refused_by("wire_does_one_thing_at_a_point"):
        WireAtPoint.objects.create(**here, how="ends")


def test_termination_ends_after_it_starts() -> None:
    with refused_by("termination_ends_after_it_starts"):
        Termination.objects.create(
            wire=make.wire(), controller=make.controller(), from_on=DAY, to_on=BEFORE
        )


def test_feed_ends_after_it_starts() -> None:
    with refused_by("feed_ends_after_it_starts"):
        Feed.objects.create(wire=make.wire(), station=make.station(), from_on=DAY, to_on=BEFORE)


def test_feed_station_has_one_wire_at_a_time() -> None:
    feed = Feed.objects.create(wire=make.wire(), station=make.station())
    with refused_by("feed_station_has_one_wire_at_a_time"):
        Feed.objects.create(wire=make.wire(), station=feed.station)


def test_feed_lasts_a_day() -> None:
    with refused_by("feed_lasts_a_day"):
        Feed.objects.create(wire=make.wire(), station=make.station(), from_on=DAY, to_on=DAY)


def test_one_wire_may_serve_two_stations() -> None:
    feed = Feed.objects.create(wire=make.wire(), station=make.station())
    doubled = Feed.objects.create(wire=feed.wire, station=make.station())
    assert list(feed.wire.feeds.order_by("pk")) == [feed, doubled]
