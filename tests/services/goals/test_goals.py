"""Goals: set, replaced, taken back; held against what is and what is forecast."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine

from reports.ahead.services.working_out import worked_out
from reports.goals.services.setting import (
    UnableToSetGoal,
    UnableToTakeBackGoal,
    set_goal,
    take_back_goal,
)
from reports.goals.services.standing import Standing, at_home, forecast_of, standing
from reports.goals.services.words import Best
from reports.models import Goal
from reports.summaries.services.kept_runs import AHEAD
from sites.kernel.engines.roles import Role
from sites.models import Grant, Property, Run, RunState, User
from sites.runs.services import Silent
from tests import make

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def on_the_day() -> Iterator[None]:
    with time_machine.travel(make.NOW, tick=False):
        yield


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def place(db: None) -> Property:
    """Four stations, one of them off."""
    clock = make.controller()
    stations = [make.station(controller=clock) for _n in range(4)]
    make.stopgap(station=stations[0])
    return clock.property


def aim(owner: User, place: Property | None = None, **given: Any) -> Goal:
    usual = {"goal_place": place, "most_percent": 2, "by_on": TODAY + 90 * DAY, "why": "",
             "by": owner, "at": make.NOW, "today": TODAY}  # fmt: skip
    return set_goal(**{**usual, **given})


def test_a_goal_lies_ahead_and_is_a_share(owner: User) -> None:
    for given, words in (
        ({"by_on": TODAY}, "a day to come"),
        ({"most_percent": 100}, "below 100"),
        ({"most_percent": -0.1}, "from 0"),
    ):
        with pytest.raises(UnableToSetGoal, match=words):
            aim(owner, **given)
    made = aim(owner, by_on=TODAY + DAY, most_percent=0, why="  the   board  ")
    assert (made.why, made.set_by, made.set_on) == ("the board", owner, TODAY)


def test_all_properties_are_for_who_may_everywhere(place: Property) -> None:
    one = make.user()
    Grant.objects.create(user=one, role=Role.WATER_MANAGER, property=place)
    with pytest.raises(UnableToSetGoal, match="one of your properties"):
        aim(one)
    aim(one, place)
    assert [each.goal.property for each in standing(one)] == [place]
    aim(make.user(Role.OWNER))
    assert len(standing(one)) == 1


def test_a_new_goal_takes_the_place_of_the_old(owner: User, place: Property) -> None:
    old, other = aim(owner, place), aim(owner)
    new = aim(owner, place, most_percent=3)
    old.refresh_from_db()
    other.refresh_from_db()
    assert (old.taken_back_on, old.why_taken_back) == (TODAY, "A new goal took its place.")
    assert other.taken_back_on is None
    assert [each.goal for each in standing(owner)] == [other, new]


def test_it_is_taken_back_once_with_its_reason(owner: User) -> None:
    goal = aim(owner)
    with pytest.raises(UnableToTakeBackGoal, match="why"):
        take_back_goal(goal=goal, why="  ", today=TODAY)
    take_back_goal(goal=goal, why="too high", today=TODAY)
    assert standing(owner) == []
    with pytest.raises(UnableToTakeBackGoal, match="already"):
        take_back_goal(goal=goal, why="again", today=TODAY)


def test_a_new_goal_has_its_path_worked_out(owner: User, place: Property) -> None:
    aim(owner)
    assert Run.objects.filter(service=AHEAD).count() == 1
    aim(owner, place)  # the first run may have read the goals before
    assert Run.objects.filter(service=AHEAD).count() == 2


def test_the_share_now(owner: User, place: Property) -> None:
    far = make.station()
    make.stopgap(station=far)
    aim(owner, place, most_percent=25)
    aim(owner, most_percent=39.9)
    whole, at_place = standing(owner)
    assert (whole.off, whole.stations, whole.now) == (2, 5, "40 % (2 of 5)")
    assert not whole.is_reached
    assert (at_place.now, at_place.is_reached) == ("25 % (1 of 4)", True)
    assert whole.aim == "at most 39.9 % by 2025-09-13"


def test_without_a_station_there_is_no_share(owner: User) -> None:
    aim(owner, make.place())
    (one,) = standing(owner)
    assert (one.share, one.is_reached, one.now) == (None, False, "no station")


def said(chance: float | None, ahead: int = 1, off: int = 0) -> str:
    goal = Goal(most_percent=2, by_on=TODAY + ahead * DAY)
    return Standing(goal, off, 100, chance).path(TODAY)


def test_its_path_in_words() -> None:
    assert said(None) == "whether it is on its path is not known"
    assert said(0.8) == "on its path: reached in 80 % of simulated futures"
    assert said(0.79).startswith("could go either way")
    assert said(0.4).startswith("could go either way")
    assert said(0.39) == "off its path: reached in 39 % of simulated futures"
    assert said(0.9, ahead=0, off=2) == "its day has come: reached"
    assert said(0.9, ahead=0, off=3) == "its day has come: not reached"


def forecast(owner: User) -> Any:
    return worked_out(Silent(), user=owner, today=TODAY)


@pytest.fixture
def busy(owner: User, place: Property) -> Property:
    """Two years of 24 stations more, of which four are off; one is by the client's choice."""
    clock = place.controllers.get()
    for n in range(24):
        start = TODAY - timedelta(days=700 - 28 * n)
        ended = start + timedelta(days=40) if n < 20 else None
        make.stopgap(station=make.station(controller=clock), on=start, removed_on=ended)
    make.stopgap(station=make.station(controller=clock), reason="client's choice")
    return place


def test_the_forecast_says_in_how_many_plays_it_is_reached(owner: User, busy: Property) -> None:
    sure = aim(owner, busy, most_percent=99)
    never = aim(owner, most_percent=0)
    assert forecast(owner)["goals"] == {sure.ref: 1.0, never.ref: 0.0}  # one stays off for good


def test_a_goal_of_a_place_counts_that_place(owner: User, busy: Property) -> None:
    """At the other property nothing ever failed: none will be off there."""
    calm = make.station().controller.property
    goal = aim(owner, calm, most_percent=0)
    assert forecast(owner)["goals"][goal.ref] == 1.0


def test_too_far_ahead_is_not_known(owner: User, busy: Property) -> None:
    near = aim(owner, busy, by_on=TODAY + 742 * DAY)
    far = aim(owner, by_on=TODAY + 743 * DAY)
    assert near.ref in forecast(owner)["goals"]
    assert far.ref not in forecast(owner)["goals"]


def test_home_shows_the_goal_of_all_first(owner: User, busy: Property) -> None:
    def home() -> Standing | None:
        return at_home(owner, forecast_of(owner), off=7, stations=70, today=TODAY)

    assert home() is None
    later = aim(owner, busy, by_on=TODAY + 50 * DAY)
    sooner = aim(owner, make.place(), by_on=TODAY + 40 * DAY)
    assert home() is not None
    assert home().goal == sooner  # type: ignore[union-attr]
    whole = aim(owner, by_on=TODAY + 60 * DAY)
    run = Run.objects.latest("pk")
    Run.objects.filter(pk=run.pk).update(
        state=RunState.DONE,
        result={"goals": {whole.ref: 0.5, later.ref: 0.9}, "scores": {"all": None}},
    )
    found = home()
    assert found is not None
    assert (found.goal, found.off, found.stations, found.chance) == (whole, 7, 70, 0.5)


def held(ours: float) -> dict[str, Any]:
    """How past forecasts did against "as many as now" (2) and a straight line (1)."""
    scores = {"ours": ours, "same": 2, "line": 1}
    return {"all": {name: {"score": score} for name, score in scores.items()}}


@pytest.mark.parametrize(("ours", "better"), [(0.9, None), (1, Best.LINE), (3, Best.LINE)])
def test_no_share_comes_from_a_forecast_that_did_worse_than_a_simple_rule(
    owner: User, ours: float, better: Best | None
) -> None:
    """Our own choice, no source: at a tie too, and on every page alike."""
    goal = aim(owner)
    run = Run.objects.latest("pk")
    kept = {"goals": {goal.ref: 0.9}, "scores": held(ours)}
    Run.objects.filter(pk=run.pk).update(state=RunState.DONE, result=kept)
    (one,) = standing(owner)
    home = at_home(owner, forecast_of(owner), off=1, stations=4, today=TODAY)
    assert home is not None
    for each in (one, home):
        assert (each.chance, each.better) == (None if better else 0.9, better)
        words = each.path(TODAY)
        assert ("90 %" in words) is (better is None)
        assert ("a straight line did better" in words) is (better is not None)
    later = aim(owner)  # of which that forecast says nothing
    (after,) = standing(owner)
    assert (after.goal, after.path(TODAY)) == (later, "whether it is on its path is not known")


def test_as_many_as_now_that_did_better_is_named() -> None:
    words = Standing(Goal(most_percent=2, by_on=TODAY + DAY), 3, 100, None, Best.SAME).path(TODAY)
    assert "“as many as now” did better than our forecasts" in words
    over = Standing(Goal(most_percent=2, by_on=TODAY), 3, 100, None, Best.SAME).path(TODAY)
    assert over == "its day has come: not reached"
