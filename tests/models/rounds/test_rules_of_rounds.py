"""Each named rule on rounds, their visits and what they leave refuses what it names."""

from datetime import date, timedelta

import pytest

from faults.models import LeftOut, Round, RoundStation, RoundStop, RoundVisit
from tests import make, make_rounds
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db

DAY = date(2025, 6, 20)


def a_round(**given: object) -> Round:
    """Make a round as a row."""
    defaults = {"name": "R", "purpose": "station walk", "starts_on": DAY, "made_by": make.user()}
    return Round.objects.create(**{**defaults, **given})


def test_round_has_a_rule_with_an_interval_only() -> None:
    a_round(repeats="interval", rule="FREQ=DAILY")
    with refused_by("round_has_a_rule_with_an_interval_only"):
        a_round(repeats="interval")
    with refused_by("round_has_a_rule_with_an_interval_only"):
        a_round(repeats="once", rule="FREQ=DAILY")


def test_round_takes_some_days_at_most_half_a_year() -> None:
    a_round(within_days=180, days_before=180)
    for given in ({"within_days": 0}, {"within_days": 181}, {"days_before": 181}):
        with refused_by("round_takes_some_days_at_most_half_a_year"):
            a_round(**given)


def test_round_minutes_above_0() -> None:
    a_round(minutes_each=1)
    with refused_by("round_minutes_above_0"):
        a_round(minutes_each=0)


def test_round_goes_to_a_property_once() -> None:
    stop = RoundStop.objects.create(round=a_round(), property=make.place(), number=1)
    with refused_by("round_goes_to_a_property_once"):
        RoundStop.objects.create(round=stop.round, property=stop.property, number=2)


def test_round_station_chosen_once() -> None:
    station = make.station()
    place = station.controller.property
    stop = RoundStop.objects.create(round=a_round(), property=place, number=1)
    RoundStation.objects.create(stop=stop, station=station)
    with refused_by("round_station_chosen_once"):
        RoundStation.objects.create(stop=stop, station=station)


def test_round_visit_planned_once_a_turn() -> None:
    given = {"round": a_round(), "property": make.place(), "begins_on": DAY}
    given["due_on"] = DAY + timedelta(days=1)
    RoundVisit.objects.create(turn="2025", **given)
    RoundVisit.objects.create(turn="2026", **given)
    with refused_by("round_visit_planned_once_a_turn"):
        RoundVisit.objects.create(turn="2025", **given)


def test_round_visit_due_after_it_begins() -> None:
    with refused_by("round_visit_due_after_it_begins"):
        RoundVisit.objects.create(
            round=a_round(), property=make.place(), turn="x", begins_on=DAY, due_on=DAY
        )


def test_station_left_out_once_per_job() -> None:
    left = make_rounds.left_out()
    with refused_by("station_left_out_once_per_job"):
        make_rounds.left_out(job=left.job, station=left.station)


def test_timer_left_out_once_per_job() -> None:
    job, timer = make_rounds.left_out().job, make.device()
    LeftOut.objects.create(job=job, device=timer, why="locked", on=DAY)
    with refused_by("timer_left_out_once_per_job"):
        LeftOut.objects.create(job=job, device=timer, why="locked", on=DAY)


def test_left_out_is_one_station_or_one_timer() -> None:
    job = make_rounds.left_out().job
    with refused_by("left_out_is_one_station_or_one_timer"):
        LeftOut.objects.create(job=job, why="locked", on=DAY)
    with refused_by("left_out_is_one_station_or_one_timer"):
        LeftOut.objects.create(
            job=job, station=make.station(), device=make.device(), why="locked", on=DAY
        )
