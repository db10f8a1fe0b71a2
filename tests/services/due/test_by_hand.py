"""People note what is to be done, do it, move it, hand it over, and take a tick back."""

import pytest

from faults.access import follow_ups_for
from faults.due.services.by_hand import (
    UnableToFinish,
    UnableToHandOver,
    UnableToMoveFollowUp,
    UnableToNote,
    UnableToReopen,
    finish_follow_up,
    hand_over,
    move_follow_up,
    raise_by_hand,
    reopen_follow_up,
)
from faults.models import Assignment, FollowUp, FollowUpState
from sites.kernel.engines.roles import Action, Role
from sites.models import User
from tests import make, make_due
from tests.services.due.helpers import TODAY, ago, ahead

pytestmark = pytest.mark.django_db


@pytest.fixture
def tessa() -> User:
    """A technician of everything."""
    return make.user(Role.TECHNICIAN, username="tessa")


def test_something_is_noted_at_a_station_for_somebody(tessa: User) -> None:
    station = make.station()
    row = raise_by_hand(
        place=station.controller.property,
        station=station,
        what="  look   again ",
        due_on=ahead(3),
        by=tessa,
        today=TODAY,
        handed_to=tessa,
    )
    assert (row.what, row.cause, row.ruled_on) == ("look again", "", None)
    assert (row.raised_by, row.handed_to, row.state) == (tessa, tessa, FollowUpState.OPEN)


@pytest.mark.parametrize(("what", "days", "field"), [(" ", 1, "what"), ("look", -1, "due_on")])
def test_a_note_says_what_and_lies_ahead(tessa: User, what: str, days: int, field: str) -> None:
    with pytest.raises(UnableToNote) as refusal:
        raise_by_hand(place=make.place(), what=what, due_on=ahead(days), by=tessa, today=TODAY)
    assert refusal.value.field == field


def test_done_keeps_who_when_and_a_note(tessa: User) -> None:
    row = make_due.follow_up()
    finish_follow_up(follow_up=row, by=tessa, today=TODAY, note=" two cells ")
    row.refresh_from_db()
    assert (row.state, row.done_by, row.done_on, row.note) == ("done", tessa, TODAY, "two cells")
    assert row.sequence == 1
    with pytest.raises(UnableToFinish, match="done this already"):
        finish_follow_up(follow_up=row, by=tessa, today=TODAY)


def test_a_tick_is_taken_back_once(tessa: User) -> None:
    row = make_due.follow_up()
    finish_follow_up(follow_up=row, by=tessa, today=TODAY)
    reopen_follow_up(follow_up=row)
    row.refresh_from_db()
    assert (row.state, row.done_by, row.done_on, row.sequence) == ("open", None, None, 2)
    with pytest.raises(UnableToReopen):
        reopen_follow_up(follow_up=row)


def test_moving_keeps_the_reason_in_the_history() -> None:
    row = make_due.follow_up()
    move_follow_up(follow_up=row, to=ahead(4), why="with the next visit", today=TODAY)
    row.refresh_from_db()
    assert (row.due_on, row.sequence) == (ahead(4), 1)
    assert row.history.latest().history_change_reason == "with the next visit"


@pytest.mark.parametrize(
    ("days", "why", "field"), [(-1, "so", "to"), (0, "so", "to"), (4, " ", "why")]
)
def test_a_move_leads_to_another_day_ahead_for_a_reason(days: int, why: str, field: str) -> None:
    with pytest.raises(UnableToMoveFollowUp) as refusal:
        move_follow_up(follow_up=make_due.follow_up(), to=ahead(days), why=why, today=TODAY)
    assert refusal.value.field == field


def test_what_is_done_or_lapsed_is_neither_moved_nor_handed_over(tessa: User) -> None:
    done = make_due.follow_up(state=FollowUpState.DONE, done_on=ago(1))
    lapsed = make_due.follow_up(state=FollowUpState.LAPSED)
    for row in (done, lapsed):
        with pytest.raises(UnableToMoveFollowUp):
            move_follow_up(follow_up=row, to=ahead(4), why="so", today=TODAY)
        with pytest.raises(UnableToHandOver):
            hand_over(follow_up=row, to=tessa)


def test_it_is_handed_to_whoever_may_do_it_there(tessa: User) -> None:
    row = make_due.follow_up()
    far = make.user(Role.TECHNICIAN, property=make.place())
    for person in (far, make.user(Role.CLIENT, client=row.property.client), make.user()):
        with pytest.raises(UnableToHandOver, match="Choose somebody else"):
            hand_over(follow_up=row, to=person)
    hand_over(follow_up=row, to=tessa)
    with pytest.raises(UnableToHandOver, match="already"):
        hand_over(follow_up=row, to=tessa)
    hand_over(follow_up=row, to=None)
    row.refresh_from_db()
    assert (row.handed_to, row.sequence) == (None, 2)


def test_a_tracer_sees_what_is_due_on_its_own_faults_and_may_not_handle_it() -> None:
    fault, other = make.fault(), make.fault()
    tracer = make.user(Role.TRACER, property=fault.property)
    Assignment.objects.create(fault=fault, user=tracer, from_on=ago(9))
    mine = make_due.follow_up(property=fault.property, fault=fault)
    make_due.follow_up(property=fault.property)
    make_due.follow_up(property=other.property, fault=other)
    assert list(follow_ups_for(tracer)) == [mine]
    assert not follow_ups_for(tracer, Action.HANDLE_FOLLOW_UPS).exists()


def test_a_client_sees_nothing_of_what_is_due() -> None:
    row = make_due.follow_up()
    assert not follow_ups_for(make.user(Role.CLIENT, client=row.property.client)).exists()
    assert FollowUp.objects.count() == 1
