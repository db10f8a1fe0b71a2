"""What of a visit is done, left and found: by what was recorded. Our own rules, no source."""

from datetime import date, timedelta

import pytest

from faults.models import (
    Fault,
    JobKind,
)
from faults.rounds.queries.rounds import visit_of
from faults.rounds.services.leaving import leave_out, take_back_left_out
from faults.rounds.services.planning import plan_what_was_left
from faults.rounds.services.progress import percent_of
from faults.rounds.services.told import (
    UnableToLeaveOut,
    UnableToPlanRound,
)
from faults.rounds.services.words import left_words
from faults.work.services import start_job, withdraw_job
from sites.models import Controller, Station, User
from sites.stopgaps.services.batteries import (
    BatterySet,
    change_battery,
    correct_battery,
    sets_of,
)
from tests import make, make_jobs, make_rounds
from tests.services.rounds.scene import TODAY, at, come, run, seen, stations, visit

pytestmark = pytest.mark.django_db


def _fault(station: Station, *, days: int = 0) -> Fault:
    return make.fault(station, reported_on=TODAY + timedelta(days=days))


def test_a_walk_counts_from_the_day_its_turn_begins_until_the_visit_ends(
    clock: Controller, user: User
) -> None:
    first, second, third = stations(clock)
    job = visit(make_rounds.round_over(clock.property))
    seen(first, days=-1)
    assert (come(job).done, come(job).percent) == (0, 0)
    seen(first)
    seen(second, days=3)
    assert (come(job).done, come(job).total, come(job).percent) == (2, 3, 66)
    run(job, user, days=2)
    assert [each.is_done for each in come(job).targets] == [True, False, False]
    seen(third, days=2)
    assert come(job).done == 2
    assert come(job).targets[2].done_on == TODAY + timedelta(days=2)


def test_a_start_up_counts_from_the_day_its_own_visit_was_begun(
    clock: Controller, user: User
) -> None:
    first, second, _third = stations(clock)
    job = visit(make_rounds.round_over(clock.property, purpose=JobKind.START_UP.value))
    seen(first, days=1)
    assert come(job).done == 0
    job.crew, job.day = make_jobs.crew(), TODAY + timedelta(days=2)
    job.save()
    start_job(job=job, at=at(2), today=job.day, by=user)
    assert come(job).done == 0
    seen(second, days=2)
    assert [each.is_done for each in come(job).targets] == [False, True, False]


def test_readings_and_battery_sets_count_for_their_rounds(clock: Controller) -> None:
    first, second, third = stations(clock)
    timer, other = (make.device(property=clock.property, name=name) for name in ("T1", "T2"))
    for station, device in ((second, timer), (third, other)):
        make.stopgap(station=station, device=device)
    checked = visit(make_rounds.round_over(clock.property, purpose=JobKind.CHECK_UP.value))
    homes = visit(make_rounds.round_over(clock.property, purpose=JobKind.BRING_HOME.value))
    sets = visit(make_rounds.round_over(clock.property, purpose=JobKind.BATTERIES.value))
    make.reading(station=first, kind="ohms", taken_on=TODAY)
    make.reading(station=second, kind="loop", taken_on=TODAY)
    make.reading(station=second, kind="insulation", taken_on=TODAY)
    make.reading(station=third, kind="loop", taken_on=TODAY, voided_on=TODAY)
    change_battery(device=timer, on=TODAY, kind="9 V", today=TODAY)
    assert (come(checked).done, come(checked).total) == (1, 3)
    assert (come(homes).done, come(homes).total) == (1, 2)
    assert (come(sets).done, come(sets).total) == (1, 2)
    # It was the other timer: what was put right counts no more.
    correct_battery(device=timer, on=None, kind="", why="the other one", today=TODAY)
    assert come(sets).done == 0


def test_sets_of_a_timer_leave_out_what_was_put_right() -> None:
    timer = make.device()
    change_battery(device=timer, on=date(2025, 1, 1), kind="9 V", today=TODAY)
    change_battery(device=timer, on=date(2025, 5, 1), kind="9 V", today=TODAY)
    correct_battery(device=timer, on=date(2025, 4, 1), kind="AA", why="typo", today=TODAY)
    timer.name = "renamed"
    timer.save()
    assert sets_of([timer.pk]) == {
        timer.pk: [BatterySet(date(2025, 1, 1), "9 V"), BatterySet(date(2025, 4, 1), "AA")]
    }


def test_what_is_left_says_why_until_something_is_recorded(clock: Controller, user: User) -> None:
    first, second, third = stations(clock)
    job = visit(make_rounds.round_over(clock.property))
    told = {"job": job, "by": user, "today": TODAY}
    leave_out(thing=first, why="locked", note="gate 2", on=TODAY, **told)
    leave_out(thing=second, why="other", note="wasps", on=TODAY, **told)
    words = left_words(come(job).left)
    assert (
        words == f"locked, no way in (gate 2): {first}; wasps: {second}; nobody said why: {third}"
    )
    seen(first)
    assert left_words(come(job).left) == f"wasps: {second}; nobody said why: {third}"
    left = job.left_out.get(station=second)
    take_back_left_out(left=left, today=TODAY)
    with pytest.raises(UnableToLeaveOut, match="taken back already"):
        take_back_left_out(left=left, today=TODAY)
    assert left_words(come(job).left) == f"nobody said why: {second}, {third}"
    again = leave_out(thing=second, why="no time", on=TODAY, **told)
    assert again.pk == left.pk


def test_leaving_out_is_refused_for_strangers_and_without_a_reason(
    clock: Controller, user: User
) -> None:
    first = stations(clock)[0]
    job = visit(make_rounds.round_over(clock.property))
    for given, words in [
        ({"thing": make.station()}, "does not go to"),
        ({"thing": make.device()}, "does not go to"),
        ({"why": "bored"}, "Why is it left"),
        ({"why": "other", "note": " "}, "in a few words"),
        ({"on": TODAY + timedelta(days=1)}, "has not come yet"),
    ]:
        told = {"thing": first, "why": "locked", "on": TODAY, **given}
        with pytest.raises(UnableToLeaveOut, match=words):
            leave_out(job=job, by=user, today=TODAY, **told)  # type: ignore[arg-type]
    withdraw_job(job=job, why="rain", by=user, at=make.NOW, today=TODAY)
    with pytest.raises(UnableToLeaveOut, match="withdrawn"):
        leave_out(job=job, thing=first, why="locked", on=TODAY, by=user, today=TODAY)


def test_another_visit_goes_to_what_was_left_and_counts_for_the_same_turn(
    clock: Controller, user: User
) -> None:
    first, second, third = stations(clock)
    job = visit(make_rounds.round_over(clock.property, minutes_each=20))
    seen(first)
    left = {"stations": [second.pk, third.pk], "devices": [], "by": user, "today": TODAY}
    with pytest.raises(UnableToPlanRound, match="not done yet"):
        plan_what_was_left(job=job, **left)
    run(job, user)
    with pytest.raises(UnableToPlanRound, match="Nothing of this visit was left"):
        plan_what_was_left(job=job, **{**left, "stations": []})
    part = plan_what_was_left(job=job, **left)
    assert (set(part.stations.all()), part.expected_minutes) == ({second, third}, 40)
    with pytest.raises(UnableToPlanRound, match="planned already"):
        plan_what_was_left(job=job, **left)
    seen(second, days=5)
    assert come(job).done == 2
    run(part, user, days=5)
    seen(third, days=6)
    assert come(job).done == 2
    found = visit_of(part)
    assert found is not None
    assert found.job == job


def test_faults_of_its_days_are_reported_out_of_it_and_dead_ones_are_named(
    clock: Controller, user: User
) -> None:
    first, second, third = stations(clock)
    job = visit(make_rounds.round_over(clock.property))
    _fault(second, days=-1)
    mine = _fault(first)
    assert come(job).faults == []
    seen(third, result="does not")
    run(job, user)
    found = come(job)
    assert ([*found.faults], [*found.dead]) == ([mine], [third])
    _fault(third, days=1)
    assert [*come(job).dead] == []


def test_a_share_is_whole_only_where_all_is_done() -> None:
    assert percent_of(0, 0) is None
    assert [percent_of(n, 200) for n in (0, 1, 2, 199, 200)] == [0, 0, 1, 99, 100]
