"""Verbs on legs and their renewals."""

from datetime import date, timedelta

import pytest

from faults.cases.services.lengths import UnableToCorrectLength, correct_length
from sites.ground.services.legs import (
    UnableToAddLeg,
    UnableToBringBackLeg,
    UnableToLabelLeg,
    UnableToRetireLeg,
    add_leg,
    bring_back_leg,
    change_leg,
    retire_leg,
)
from sites.ground.services.renewals import UnableToRenew, renew_leg, take_back_renewal
from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from tests import make
from tests.make import TODAY
from tests.services.yard import Yard, latest_why

LENGTH = {"length_ft": 40.0, "length_source": "paced"}


def test_a_leg_between_points_that_are_joined_already_gets_the_next_number(yard: Yard) -> None:
    leg = add_leg(place=yard.place, start=yard.box, end=yard.start, values=LENGTH)
    assert (leg.running_number, leg.history.count()) == (2, 1)


def test_a_leg_does_not_lead_from_a_point_to_itself(yard: Yard) -> None:
    with pytest.raises(UnableToAddLeg) as refusal:
        add_leg(place=yard.place, start=yard.box, end=yard.box, values=LENGTH)
    assert refusal.value.field == "end"


def test_a_leg_does_not_end_at_a_retired_point(yard: Yard) -> None:
    gone = make.point(property=yard.place, retired_on=TODAY)
    with pytest.raises(UnableToAddLeg, match="in use"):
        add_leg(place=yard.place, start=yard.box, end=gone, values=LENGTH)


def test_a_label_is_taken_whatever_its_capitals(yard: Yard) -> None:
    with pytest.raises(UnableToLabelLeg):
        add_leg(place=yard.place, start=yard.north, end=yard.south, values={**LENGTH, "label": "A"})


def test_changing_keeps_the_length_and_the_history(yard: Yard) -> None:
    change_leg(leg=yard.a, values={"depth_in": 9.0, "in_conduit": True}, why="dug up")
    yard.a.refresh_from_db()
    assert (yard.a.depth_in, yard.a.in_conduit, yard.a.length_ft) == (9.0, True, 100.0)
    assert latest_why(yard.a) == "dug up"


def test_a_leg_with_wires_in_it_stays(yard: Yard) -> None:
    with pytest.raises(UnableToRetireLeg, match="COM, SP1, W1, W2"):
        retire_leg(leg=yard.a, on=TODAY, today=TODAY)


def test_retired_and_brought_back_it_is_in_the_ground(yard: Yard) -> None:
    leg = add_leg(place=yard.place, start=yard.north, end=yard.south, values=LENGTH)
    retire_leg(leg=leg, on=TODAY, today=TODAY, why="dug out")
    bring_back_leg(leg=leg)
    leg.refresh_from_db()
    assert (leg.retired_on, leg.history.count()) == (None, 3)


def test_what_is_in_the_ground_is_not_brought_back(yard: Yard) -> None:
    with pytest.raises(UnableToBringBackLeg, match="not retired"):
        bring_back_leg(leg=yard.a)


def test_a_leg_comes_back_only_between_points_in_use(yard: Yard) -> None:
    gone = make.point(property=yard.place, retired_on=TODAY)
    leg = make.leg(property=yard.place, from_point=yard.box, to_point=gone, retired_on=TODAY)
    with pytest.raises(UnableToBringBackLeg, match=gone.name):
        bring_back_leg(leg=leg)


def test_a_length_is_corrected_with_the_reason_in_its_history(yard: Yard) -> None:
    correct_length(leg=yard.a, length_ft=96.5, length_source="measured", why="wheeled it")
    yard.a.refresh_from_db()
    assert (yard.a.length_ft, latest_why(yard.a)) == (96.5, "was wrong: wheeled it")


def test_a_length_is_not_corrected_without_a_reason(yard: Yard) -> None:
    with pytest.raises(UnableToCorrect):
        correct_length(leg=yard.a, length_ft=96.5, length_source="measured", why=" ")


def test_a_length_is_corrected_back(yard: Yard) -> None:
    for feet in (90.0, 100.0):
        correct_length(leg=yard.a, length_ft=feet, length_source="measured", why="wheeled it")
    yard.a.refresh_from_db()
    assert (yard.a.length_ft, yard.a.history.count()) == (100.0, 3)


def test_a_leg_does_not_end_before_a_break_that_was_found_on_it(yard: Yard) -> None:
    fault = make.fault(yard.first, key="gopher")
    fault.breaks.create(leg=yard.a, feet_along=95.0)
    with pytest.raises(UnableToCorrectLength, match="break 1 of fault gopher at 95 ft") as refusal:
        correct_length(leg=yard.a, length_ft=94.0, length_source="measured", why="wheeled it")
    assert refusal.value.field == "length"


@pytest.mark.parametrize("feet", [0.0, -4.0])
def test_a_leg_has_some_length(yard: Yard, feet: float) -> None:
    with pytest.raises(UnableToCorrectLength):
        correct_length(leg=yard.a, length_ft=feet, length_source="measured", why="typo")


def test_a_retired_legs_length_is_kept(yard: Yard) -> None:
    leg = make.leg(retired_on=TODAY)
    with pytest.raises(UnableToCorrectLength, match="retired"):
        correct_length(leg=leg, length_ft=9.0, length_source="measured", why="typo")


def test_new_conduit_is_kept_on_the_leg_too(yard: Yard) -> None:
    renew_leg(leg=yard.a, kind="new conduit", on=date(2025, 3, 1), today=TODAY)
    yard.a.refresh_from_db()
    assert yard.a.in_conduit is True
    assert latest_why(yard.a) == "new conduit 2025-03-01"


def test_laid_deeper_the_leg_has_its_new_depth(yard: Yard) -> None:
    renew_leg(leg=yard.a, kind="deeper", on=TODAY, today=TODAY, depth_in=24.0)
    yard.a.refresh_from_db()
    assert yard.a.depth_in == 24.0


def test_a_renewal_is_recorded_once_a_day(yard: Yard) -> None:
    renew_leg(leg=yard.a, kind="guard", on=TODAY, today=TODAY)
    with pytest.raises(UnableToRenew):
        renew_leg(leg=yard.a, kind="guard", on=TODAY, today=TODAY)


def test_a_renewal_has_happened(yard: Yard) -> None:
    with pytest.raises(UnableToUseDay):
        renew_leg(leg=yard.a, kind="guard", on=TODAY + timedelta(days=1), today=TODAY)


def test_a_retired_leg_is_not_renewed(yard: Yard) -> None:
    with pytest.raises(UnableToRenew, match="retired"):
        renew_leg(leg=make.leg(retired_on=TODAY), kind="guard", on=TODAY, today=TODAY)


def test_a_renewal_taken_back_is_gone_and_its_history_stays(yard: Yard) -> None:
    renewal = renew_leg(leg=yard.a, kind="guard", on=TODAY, today=TODAY)
    take_back_renewal(renewal=renewal, why="other leg")
    assert not yard.a.renewals.exists()
    newest = type(renewal).history.order_by("-history_id").first()
    assert (newest.history_type, newest.history_change_reason) == ("-", "other leg")
    assert "other leg" in latest_why(yard.a)


def test_a_renewal_taken_back_gives_the_old_depth_back(yard: Yard) -> None:
    renewal = renew_leg(leg=yard.a, kind="deeper", on=TODAY, today=TODAY, depth_in=24.0)
    take_back_renewal(renewal=renewal, why="other leg")
    yard.a.refresh_from_db()
    assert yard.a.depth_in == 14.0


def test_a_renewal_taken_back_keeps_a_depth_that_was_changed_since(yard: Yard) -> None:
    renewal = renew_leg(leg=yard.a, kind="deeper", on=TODAY, today=TODAY, depth_in=24.0)
    change_leg(leg=yard.a, values={"depth_in": 20.0})
    take_back_renewal(renewal=renewal, why="other leg")
    yard.a.refresh_from_db()
    assert yard.a.depth_in == 20.0


def test_a_renewal_is_not_taken_back_without_a_reason(yard: Yard) -> None:
    renewal = renew_leg(leg=yard.a, kind="guard", on=TODAY, today=TODAY)
    with pytest.raises(UnableToRenew) as refusal:
        take_back_renewal(renewal=renewal, why="")
    assert refusal.value.field == "why"
