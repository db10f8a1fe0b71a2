"""Splitting a leg at a newly found point, and joining its parts again."""

from datetime import timedelta

import pytest

from faults.cases.services.splitting import rejoin_leg, split_leg
from faults.models import Break
from sites.ground.services.legs import UnableToBringBackLeg, bring_back_leg, change_leg
from sites.ground.services.splitting import (
    Parts,
    UnableToRejoinLeg,
    UnableToSplitLeg,
    parts_of,
    resolve,
)
from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import AtPoint, Point, Renewal
from tests import make
from tests.make import TODAY
from tests.services.yard import LAID, Yard, latest_why, legs_of


def split(yard: Yard, *, feet: float = 40.0, from_second: bool = False) -> Parts:
    """Split leg a at a new point "found"."""
    found = make.point(property=yard.place, name=f"found {Point.objects.count()}")
    return split_leg(
        leg=yard.a, point=found, feet=feet, from_second=from_second, on=TODAY, today=TODAY
    )


def a_break(yard: Yard, feet: float | None, *, from_second: bool = False) -> Break:
    """Make a break on leg a, measured from either of its ends."""
    fault = make.fault(yard.first)
    end = yard.box if from_second else None
    return fault.breaks.create(leg=yard.a, feet_along=feet, from_point=end)


def place_of(found: Break) -> tuple[str, float | None, str]:
    """Return the leg, the feet and the end that they were taken from."""
    found.refresh_from_db()
    return str(found.leg), found.feet_along, str(found.from_point or "")


def test_the_parts_share_the_length_and_inherit_the_rest(yard: Yard) -> None:
    parts = split(yard)
    assert [(part.label, part.length_ft, part.starts_at_ft) for part in parts.both] == [
        ("a/1", 40.0, 0.0),
        ("a/2", 60.0, 40.0),
    ]
    for part in parts.both:
        kept = (part.depth_in, part.cover, part.length_source, part.observed_from)
        assert kept == (14.0, "turf", "measured", LAID)


def test_measured_from_the_second_end_the_lengths_are_the_other_way_round(yard: Yard) -> None:
    parts = split(yard, from_second=True)
    assert (parts.first.length_ft, parts.second.length_ft) == (60.0, 40.0)


def test_the_leg_is_retired_with_a_reason(yard: Yard) -> None:
    split(yard)
    yard.a.refresh_from_db()
    assert yard.a.retired_on == TODAY
    assert latest_why(yard.a).startswith("split at found")


def test_every_wire_lies_in_both_parts_and_says_so(yard: Yard) -> None:
    split(yard)
    assert legs_of(yard.w1) == {"a/1", "a/2", "b"}
    assert legs_of(yard.common) == {"a/1", "a/2", "b", "c"}
    assert latest_why(yard.w1) == "leg a split"


def test_nobody_knows_what_the_wires_do_at_the_new_point(yard: Yard) -> None:
    parts = split(yard)
    assert set(parts.point.wires_here.values_list("how", flat=True)) == {AtPoint.NOT_KNOWN}
    assert parts.point.wires_here.count() == 4


def test_renewals_are_copied_to_both_parts(yard: Yard) -> None:
    Renewal.objects.create(leg=yard.a, on=LAID, kind="guard")
    parts = split(yard)
    assert [part.renewals.get().kind for part in parts.both] == ["guard", "guard"]


def test_a_break_keeps_its_place_whichever_end_it_was_measured_from(yard: Yard) -> None:
    near, far = a_break(yard, 30.0), a_break(yard, 75.0)
    back, across = a_break(yard, 20.0, from_second=True), a_break(yard, 90.0, from_second=True)
    split(yard)
    assert place_of(near) == ("a/1", 30.0, "")
    assert place_of(far) == ("a/2", 35.0, "")
    assert place_of(back) == ("a/2", 20.0, "box")
    assert place_of(across)[:2] == ("a/1", 30.0)
    assert latest_why(far) == "leg a split"


def test_a_break_of_which_only_the_leg_is_known_stays_on_the_old_one(yard: Yard) -> None:
    somewhere = a_break(yard, None)
    split(yard)
    assert place_of(somewhere) == ("a", None, "")


def test_the_old_label_resolves_by_offset(yard: Yard) -> None:
    split(yard)
    yard.a.refresh_from_db()
    assert [str(resolve(yard.a, feet)[0]) for feet in (10.0, 40.0, 41.0)] == ["a/1", "a/1", "a/2"]
    assert resolve(yard.a, 75.0)[1] == 35.0


def test_a_part_that_was_split_again_resolves_to_the_leg_that_is_there(yard: Yard) -> None:
    second = split(yard).second
    inner = make.point(property=yard.place, name="inner")
    split_leg(leg=second, point=inner, feet=25.0, from_second=False, on=TODAY, today=TODAY)
    yard.a.refresh_from_db()
    leg, feet = resolve(yard.a, 75.0)
    assert (str(leg), feet) == ("a/2/2", 10.0)


def test_a_part_of_a_leg_made_whole_resolves_to_that_leg(yard: Yard) -> None:
    parts = split(yard)
    rejoin_leg(leg=yard.a)
    parts.second.refresh_from_db()
    assert resolve(parts.second, 35.0) == (yard.a, 75.0)


def test_joining_brings_back_the_leg_its_wires_and_its_breaks(yard: Yard) -> None:
    far, across = a_break(yard, 75.0), a_break(yard, 90.0, from_second=True)
    parts = split(yard)
    rejoin_leg(leg=yard.a, why="no box there")
    assert legs_of(yard.w1) == {"a", "b"}
    assert place_of(far) == ("a", 75.0, "")
    assert place_of(across) == ("a", 90.0, "box")
    assert not parts.point.wires_here.exists()
    assert latest_why(yard.a) == "no box there"


def test_joined_and_split_again_the_parts_are_new_ones(yard: Yard) -> None:
    parts = split(yard)
    rejoin_leg(leg=yard.a)
    yard.a.refresh_from_db()
    again = split_leg(
        leg=yard.a, point=parts.point, feet=30.0, from_second=False, on=TODAY, today=TODAY
    )
    assert [(str(part), part.running_number) for part in again.both] == [("a/1.2", 2), ("a/2.2", 2)]
    found = parts_of(yard.a)
    assert found is not None
    assert found.both == again.both


def test_a_part_does_not_come_back_beside_the_whole(yard: Yard) -> None:
    parts = split(yard)
    rejoin_leg(leg=yard.a)
    parts.first.refresh_from_db()
    with pytest.raises(UnableToBringBackLeg, match="whole again"):
        bring_back_leg(leg=parts.first)


def test_a_split_leg_does_not_come_back_beside_its_parts(yard: Yard) -> None:
    split(yard)
    with pytest.raises(UnableToBringBackLeg, match="join them"):
        bring_back_leg(leg=yard.a)


@pytest.mark.parametrize("feet", [0.0, 100.0, 130.0])
def test_a_point_that_does_not_lie_inside_splits_nothing(yard: Yard, feet: float) -> None:
    with pytest.raises(UnableToSplitLeg) as refusal:
        split(yard, feet=feet)
    assert refusal.value.field == "feet"


def test_its_own_end_splits_nothing(yard: Yard) -> None:
    with pytest.raises(UnableToSplitLeg, match="ends at box"):
        split_leg(leg=yard.a, point=yard.box, feet=9.0, from_second=False, on=TODAY, today=TODAY)


def test_a_point_that_the_wires_reach_another_way_would_close_a_ring(yard: Yard) -> None:
    with pytest.raises(UnableToSplitLeg, match="ring: COM, W2"):
        split_leg(leg=yard.a, point=yard.south, feet=9.0, from_second=False, on=TODAY, today=TODAY)


def test_a_leg_is_not_split_twice(yard: Yard) -> None:
    split(yard)
    with pytest.raises(UnableToSplitLeg, match="retired"):
        split(yard)


def test_a_leg_is_not_split_on_a_day_to_come(yard: Yard) -> None:
    found = make.point(property=yard.place)
    with pytest.raises(UnableToUseDay):
        split_leg(
            leg=yard.a,
            point=found,
            feet=9.0,
            from_second=False,
            on=TODAY + timedelta(days=1),
            today=TODAY,
        )


def refuses_to_rejoin(yard: Yard, words: str) -> None:
    """Expect that joining leg a is refused with these words, and changes nothing."""
    with pytest.raises(UnableToRejoinLeg, match=words):
        rejoin_leg(leg=yard.a)
    yard.a.refresh_from_db()
    assert yard.a.retired_on is not None


def test_what_was_not_split_cannot_be_joined(yard: Yard) -> None:
    with pytest.raises(UnableToRejoinLeg, match="not split"):
        rejoin_leg(leg=yard.a)


def test_a_changed_part_stops_the_joining(yard: Yard) -> None:
    change_leg(leg=split(yard).first, values={"depth_in": 6.0})
    refuses_to_rejoin(yard, "depth")


def test_a_renewed_part_stops_the_joining(yard: Yard) -> None:
    Renewal.objects.create(leg=split(yard).first, on=TODAY, kind="guard")
    refuses_to_rejoin(yard, "renewal")


def test_a_corrected_length_stops_the_joining(yard: Yard) -> None:
    first = split(yard).first
    first.length_ft = 41.0
    first.save()
    refuses_to_rejoin(yard, "length")


def test_a_leg_that_ends_at_the_point_stops_the_joining(yard: Yard) -> None:
    point = split(yard).point
    make.leg(property=yard.place, label="d", from_point=point)
    refuses_to_rejoin(yard, "d")


def test_a_wire_in_one_part_only_stops_the_joining(yard: Yard) -> None:
    parts = split(yard)
    yard.w2.lies.filter(leg=parts.second).delete()
    refuses_to_rejoin(yard, "same wires")


def test_what_was_said_of_a_wire_at_the_point_stops_the_joining(yard: Yard) -> None:
    at = split(yard).point.wires_here.get(wire=yard.w1)
    at.how = AtPoint.SPLICED
    at.save()
    refuses_to_rejoin(yard, "W1")


def test_a_valve_at_the_point_stops_the_joining(yard: Yard) -> None:
    make.station(controller=yard.clock, number=7, valve_point=split(yard).point)
    refuses_to_rejoin(yard, "Rowan:7")


def test_a_reading_at_the_point_stops_the_joining(yard: Yard) -> None:
    make.reading(station=yard.first, point=split(yard).point)
    refuses_to_rejoin(yard, "Readings")


def test_a_part_split_again_stops_the_joining(yard: Yard) -> None:
    first = split(yard).first
    inner = make.point(property=yard.place, name="inner")
    split_leg(leg=first, point=inner, feet=9.0, from_second=False, on=TODAY, today=TODAY)
    refuses_to_rejoin(yard, "a/1")
