"""Rounds: made over properties, planned once a turn. Our own rules, no source."""

from datetime import date, timedelta
from typing import Any

import pytest

from faults.models import (
    JobKind,
    Round,
    RoundVisit,
)
from faults.rounds.services.making import change_round, end_round, go_on_with_round
from faults.rounds.services.planning import plan_rounds_ahead
from faults.rounds.services.told import (
    RoundFacts,
    StopFacts,
    UnableToMakeRound,
    UnableToPlanRound,
)
from faults.work.services import withdraw_job
from sites.models import Controller, User, Wiring
from tests import make, make_rounds
from tests.services.rounds.scene import TODAY, at, stations, visit

pytestmark = pytest.mark.django_db


def _change(the_round: Round | None, stops: list[StopFacts], user: User) -> None:
    from faults.rounds.services.making import make_round

    told: RoundFacts = make_rounds.facts()
    if the_round is None:
        make_round(facts=told, stops=stops, by=user, today=TODAY)
    else:
        change_round(the_round=the_round, facts=told, stops=stops, today=TODAY)


def test_a_visit_goes_to_all_stations_in_care_or_to_the_chosen(clock: Controller) -> None:
    first, second, third = stations(clock)
    third.retired_on = TODAY
    third.save()
    job = visit(make_rounds.round_over(clock.property, minutes_each=10))
    assert set(job.stations.all()) == {first, second}
    assert (job.expected_minutes, job.earliest_on) == (20, TODAY)
    assert job.due_on == TODAY + timedelta(days=14)
    chosen = make_rounds.round_over(clock.property, stations=[second], name="Chosen")
    assert list(visit(chosen).stations.all()) == [second]


def test_each_purpose_goes_where_it_can_be_done(clock: Controller) -> None:
    first, second, _third = stations(clock)
    two_wire = make.station(
        controller=make.controller(property=clock.property, name="B", wiring=Wiring.TWO_WIRE)
    )
    timer = make.device(property=clock.property)
    make.stopgap(station=second, device=timer)
    make.stopgap(station=two_wire)
    walked = visit(make_rounds.round_over(clock.property))
    assert two_wire in walked.stations.all()
    checked = visit(make_rounds.round_over(clock.property, purpose=JobKind.CHECK_UP.value))
    assert two_wire not in checked.stations.all()
    assert checked.stations.count() == 3
    homes = visit(make_rounds.round_over(clock.property, purpose=JobKind.BRING_HOME.value))
    assert list(homes.stations.all()) == [second]
    sets = visit(make_rounds.round_over(clock.property, purpose=JobKind.BATTERIES.value))
    assert (list(sets.devices.all()), sets.stations.count()) == ([timer], 0)
    elsewhere = make_rounds.round_over(
        clock.property, purpose=JobKind.BATTERIES.value, stations=[first], name="first"
    )
    (nothing,) = make_rounds.planned(elsewhere)
    assert nothing.job is None
    # That turn is over: nothing is planned for it again.
    with pytest.raises(UnableToPlanRound, match="not planned already"):
        make_rounds.planned(elsewhere)


def test_start_up_is_planned_with_the_propertys_own_day(clock: Controller) -> None:
    without = make.place(code="Oak")
    make.station(controller=make.controller(property=without))
    the_round = make_rounds.round_over(
        clock.property,
        without,
        purpose=JobKind.START_UP.value,
        repeats="season start",
        days_before=3,
        within_days=5,
    )
    with pytest.raises(UnableToPlanRound):
        make_rounds.planned(the_round, until=date(2025, 6, 16))
    job = visit(the_round, until=date(2025, 6, 17))
    assert (job.property, job.kind) == (clock.property, JobKind.START_UP)
    assert (job.earliest_on, job.due_on) == (date(2025, 6, 17), date(2025, 6, 22))


def test_the_service_plans_four_weeks_ahead_and_nothing_twice(clock: Controller) -> None:
    make_rounds.round_over(
        clock.property, repeats="interval", rule="FREQ=MONTHLY;INTERVAL=1", starts_on=TODAY
    )
    assert plan_rounds_ahead(at=make.NOW, go_on=lambda: None) == {"planned": 1}
    assert plan_rounds_ahead(at=make.NOW, go_on=lambda: None) == {"planned": 0}
    # While the visit is open nothing further is planned, however late it is.
    assert plan_rounds_ahead(at=at(90), go_on=lambda: None) == {"planned": 0}
    visits = RoundVisit.objects.select_related("job")
    job = visits.get().job
    assert job is not None
    withdraw_job(job=job, why="rain", by=make.user(), at=at(90), today=TODAY)
    assert plan_rounds_ahead(at=at(90), go_on=lambda: None) == {"planned": 1}
    assert sorted(visits.values_list("begins_on", flat=True)) == [TODAY, date(2025, 8, 15)]


def test_a_round_that_ended_plans_nothing_until_it_goes_on(clock: Controller, user: User) -> None:
    the_round = make_rounds.round_over(clock.property)
    end_round(the_round=the_round, why="contract over", today=TODAY)
    assert plan_rounds_ahead(at=make.NOW, go_on=lambda: None) == {"planned": 0}
    with pytest.raises(UnableToPlanRound, match="ended"):
        make_rounds.planned(the_round)
    with pytest.raises(UnableToMakeRound, match="already"):
        end_round(the_round=the_round, why="again", today=TODAY)
    go_on_with_round(the_round=the_round)
    with pytest.raises(UnableToMakeRound, match="not ended"):
        go_on_with_round(the_round=the_round)
    assert plan_rounds_ahead(at=make.NOW, go_on=lambda: None) == {"planned": 1}


def test_two_rounds_that_come_back_never_share_a_station_for_one_purpose(
    clock: Controller,
) -> None:
    first, second, third = stations(clock)
    often = {"repeats": "interval", "rule": "FREQ=WEEKLY;INTERVAL=1"}
    make_rounds.round_over(clock.property, stations=[first, second], name="One", **often)
    with pytest.raises(UnableToMakeRound, match="“One” already"):
        make_rounds.round_over(clock.property, stations=[second, third], **often)
    with pytest.raises(UnableToMakeRound, match="due twice"):
        make_rounds.round_over(clock.property, **often)
    make_rounds.round_over(clock.property, stations=[third], name="Two", **often)
    make_rounds.round_over(clock.property, purpose=JobKind.CHECK_UP.value, **often)
    # One that comes once is nobody's second time.
    assert make_rounds.round_over(clock.property, name="Once").pk
    the_round = Round.objects.get(name="One")
    end_round(the_round=the_round, why="joined", today=TODAY)
    other = make_rounds.round_over(clock.property, stations=[second], name="Three", **often)
    with pytest.raises(UnableToMakeRound, match="“Three” already"):
        go_on_with_round(the_round=the_round)
    end_round(the_round=other, why="no", today=TODAY)
    go_on_with_round(the_round=the_round)
    assert the_round.ended_on is None


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"name": " "}, "Give it a name"),
        ({"purpose": "locate"}, "What is the round for"),
        ({"repeats": "sometimes"}, "When does it come back"),
        ({"within_days": 0}, "1 to 180 days"),
        ({"within_days": 181}, "1 to 180 days"),
        ({"days_before": 181}, "1 to 180 days"),
        ({"repeats": "interval", "rule": "FREQ=HOURLY"}, "cannot be read"),
        ({"repeats": "interval", "rule": "FREQ=DAILY;INTERVAL=0.5"}, "cannot be read"),
    ],
)
def test_a_round_that_cannot_be_is_refused(
    clock: Controller, given: dict[str, Any], words: str
) -> None:
    with pytest.raises(UnableToMakeRound, match=words):
        make_rounds.round_over(clock.property, **given)
    assert not Round.objects.exists()


def test_its_properties_are_in_care_named_once_and_own_their_stations(
    clock: Controller, user: User
) -> None:
    gone, other = make.place(retired_on=TODAY), make.station()
    place = clock.property
    for stops, words in [
        ([], "at least one property"),
        ([StopFacts(place), StopFacts(place)], "named twice"),
        ([StopFacts(gone)], "retired"),
        ([StopFacts(place, (other,))], "on another property"),
    ]:
        with pytest.raises(UnableToMakeRound, match=words):
            _change(None, stops, user)


def test_a_changed_round_keeps_what_is_planned_and_takes_its_new_order(
    clock: Controller, user: User
) -> None:
    other = make.place(code="Ash")
    make.station(controller=make.controller(property=other))
    the_round = make_rounds.round_over(clock.property, other)
    visits = make_rounds.planned(the_round)
    assert [each.property for each in visits] == [clock.property, other]
    _change(the_round, [StopFacts(other), StopFacts(make.place(code="Fir"))], user)
    numbers = the_round.stops.filter(taken_out_on=None).order_by("number")
    assert [stop.property.code for stop in numbers] == ["Ash", "Fir"]
    assert the_round.stops.get(property=clock.property).taken_out_on == TODAY
    assert the_round.visits.count() == 2
    _change(the_round, [StopFacts(clock.property, (stations(clock)[0],))], user)
    back = the_round.stops.get(taken_out_on=None)
    assert (back.property, back.chosen.count()) == (clock.property, 1)
    end_round(the_round=the_round, why="over", today=TODAY)
    with pytest.raises(UnableToMakeRound, match="has ended"):
        _change(the_round, [StopFacts(other)], user)
