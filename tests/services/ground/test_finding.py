"""Where a box is by its position and its ties to places that have one."""

from math import cos, hypot, radians

import pytest

from sites.ground.services.finding import FT_PER_DEGREE, Found, find_points
from sites.models import Point, Property
from tests import make

pytestmark = pytest.mark.django_db

LAT, LON = 33.0, -113.0
NARROW = FT_PER_DEGREE * cos(radians(LAT))


@pytest.fixture
def place() -> Property:
    """A property with two boxes that are known to a foot, 60 ft apart, east of each other."""
    made = make.place()
    at(made, "B-S1", 0, 0, accuracy_ft=0.5)
    at(made, "B-S2", 60, 0, accuracy_ft=0.5)
    return made


def at(place: Property, name: str, east: float, north: float, **given: object) -> Point:
    """A box so many feet east and north."""
    position = {"latitude": LAT + north / FT_PER_DEGREE, "longitude": LON + east / NARROW}
    return make.point(property=place, name=name, **{**position, **given})


def found(point: Point) -> Found:
    """Where it is."""
    return find_points([point], point.property)[point.pk]


def feet(one: Found) -> tuple[float, float]:
    """Feet east and north of the first box."""
    assert one.latitude is not None
    assert one.longitude is not None
    return (one.longitude - LON) * NARROW, (one.latitude - LAT) * FT_PER_DEGREE


def test_two_ties_pull_a_phones_position_straight(place: Property) -> None:
    box = at(
        place, "B-V1", 45, 27, accuracy_ft=10,
        tie_1="52.5 ft from B-S1", tie_2="35.7 ft north west of box B-S2",
    )  # fmt: skip
    one = found(box)
    assert one.ties == 2
    assert feet(one) == pytest.approx((42.36, 31.02), abs=0.2)
    assert one.error_ft < 2
    alone = found(at(place, "B-V2", 45, 27, accuracy_ft=10, tie_1="52.5 ft from the oak"))
    assert (alone.ties, feet(alone)) == (0, pytest.approx((45, 27), abs=0.01))
    # 10 ft at 68 %: nine times in ten within 14.2.
    assert alone.error_ft == pytest.approx(14.216, abs=0.01)


def test_ties_in_metres_and_in_feet_and_inches(place: Property) -> None:
    box = at(place, "B-V1", 45, 27, tie_1="16 m from B-S1", tie_2="35 ft 8 in from B-S2")
    one = found(box)
    assert hypot(*feet(one)) == pytest.approx(16 / 0.3048, abs=0.3)
    assert hypot(feet(one)[0] - 60, feet(one)[1]) == pytest.approx(35 + 8 / 12, abs=0.3)


def test_a_position_that_its_ties_contradict_is_said(place: Property) -> None:
    ties = {"tie_1": "52.5 ft from B-S1", "tie_2": "35.7 ft from B-S2"}
    one = found(at(place, "B-V1", 42, 80, accuracy_ft=3, **ties))
    assert (one.latitude, one.clash_with) == (None, "")
    # The ties meet at 42, 31.
    assert one.clash_ft == pytest.approx(49, abs=4)


def test_a_tie_that_all_else_contradicts_is_named(place: Property) -> None:
    for wrong in ("140 ft", "75 ft"):
        ties = {"tie_1": "52.2 ft from B-S1", "tie_2": f"{wrong} from B-S2"}
        one = found(at(place, f"B-V{wrong}", 42, 31, accuracy_ft=3, **ties))
        assert (one.latitude, one.clash_with) == (None, "B-S2")


def test_two_ties_alone_leave_the_side_open(place: Property) -> None:
    box = make.point(
        property=place, name="B-V1", tie_1="52.5 ft from B-S1", tie_2="35.7 ft from B-S2"
    )
    assert found(box).is_either
    assert found(box).latitude is None


def test_a_tie_may_name_its_mark_by_latitude_and_longitude(place: Property) -> None:
    mark = f"{LAT:.6f}, {LON:.6f}"
    box = at(place, "B-V1", 30, 0, accuracy_ft=30, tie_1=f"40 ft from {mark}")
    assert feet(found(box))[0] == pytest.approx(38, abs=3)


@pytest.mark.parametrize(
    "words",
    [
        "from B-S1 some steps",
        "52.5 from B-S1",
        "52.5 ft from B-S12",
        "52.5 ft from B-V1",
        "52.5 ft from the oak",
        "",
    ],
)
def test_other_words_are_for_the_eyes(place: Property, words: str) -> None:
    assert found(at(place, "B-V1", 45, 27, tie_1=words)).ties == 0


def test_of_what_nobody_knows_nothing_is_said(place: Property) -> None:
    box = make.point(property=place, name="B-V1", tie_1="52.5 ft from B-S1")
    assert find_points([box], place) == {}


def test_a_retired_box_and_another_propertys_are_no_marks(place: Property) -> None:
    Point.objects.filter(name="B-S1").update(retired_on=make.TODAY)
    at(make.place(), "Z-S1", 10, 0)
    box = at(place, "B-V1", 45, 27, tie_1="52.5 ft from B-S1", tie_2="5 ft from Z-S1")
    assert found(box).ties == 0
