"""Changing the link between central control and a controller, and putting it right."""

from datetime import date

import pytest

from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.models import Controller
from sites.register.services.central import UnableToChangeLink, change_link, correct_link
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, day, history, spells

pytestmark = pytest.mark.django_db


def states(controller: Controller) -> list[tuple[str, date | None, date | None]]:
    """Return the states in order of days."""
    rows = controller.states.values_list("state", "from_on", "to_on")
    return sorted(rows, key=lambda row: row[1] or date.min)


def test_a_lost_link_takes_all_stations_off_and_restoring_brings_them_back() -> None:
    station = make.station()
    clock = station.controller
    change_link(controller=clock, state="link lost", on=DAY, today=TODAY)
    assert spells(station) == [(DAY, None)]
    change_link(controller=clock, state="linked", on=day(5), today=TODAY)
    assert spells(station) == [(DAY, day(5))]
    assert states(clock) == [
        ("linked", None, DAY),
        ("link lost", DAY, day(5)),
        ("linked", day(5), None),
    ]
    assert clock.central == "linked"
    assert [kind for kind, _ in history(clock)] == ["+", "~", "~"]


def test_days_not_meant_to_be_linked_are_cut_out_of_the_spell() -> None:
    stopgap = make.stopgap(on=DAY)
    clock = stopgap.station.controller
    change_link(controller=clock, state="not meant to be linked", on=day(3), today=TODAY)
    assert spells(stopgap.station) == [(DAY, day(3))]


def test_refuses_the_state_that_holds_and_a_day_not_after_it() -> None:
    clock = make.controller()
    with pytest.raises(UnableToChangeLink, match="holds now"):
        change_link(controller=clock, state="linked", on=DAY, today=TODAY)
    change_link(controller=clock, state="link lost", on=DAY, today=TODAY)
    with pytest.raises(UnableToChangeLink, match="since 2025-03-01"):
        change_link(controller=clock, state="linked", on=DAY, today=TODAY)
    with pytest.raises(UnableToUseDay):
        change_link(controller=clock, state="linked", on=date(2026, 1, 1), today=TODAY)


def test_refuses_a_day_that_an_ended_state_holds() -> None:
    clock = make.central_state(from_on=DAY, to_on=day(9)).controller
    with pytest.raises(UnableToChangeLink, match="lasted until 2025-03-10"):
        change_link(controller=clock, state="link lost", on=day(4), today=TODAY)


@pytest.mark.parametrize("new", [2, 9])
def test_correcting_the_first_day_moves_the_end_of_the_state_before(new: int) -> None:
    station = make.station()
    clock = station.controller
    change_link(controller=clock, state="link lost", on=day(5), today=TODAY)
    correct_link(controller=clock, state="link lost", on=day(new), why="the log", today=TODAY)
    assert states(clock) == [("linked", None, day(new)), ("link lost", day(new), None)]
    assert spells(station) == [(day(new), None)]


def test_correcting_takes_a_change_back() -> None:
    station = make.station()
    clock = station.controller
    change_link(controller=clock, state="link lost", on=DAY, today=TODAY)
    correct_link(controller=clock, state="linked", on=DAY, why="another clock", today=TODAY)
    assert spells(station) == []
    assert clock.central == "linked"
    last = clock.states.open().get()
    assert history(last)[-1] == ("~", "was wrong: another clock")


def test_correcting_what_was_never_written_down_begins_the_record() -> None:
    clock = make.controller(central="not known")
    correct_link(controller=clock, state="linked", on=None, why="asked", today=TODAY)
    assert states(clock) == [("linked", None, None)]


def test_correcting_refuses_no_words_no_first_day_and_a_day_before_the_state_before() -> None:
    clock = make.controller()
    change_link(controller=clock, state="link lost", on=day(5), today=TODAY)
    change_link(controller=clock, state="linked", on=day(9), today=TODAY)
    with pytest.raises(UnableToCorrect):
        correct_link(controller=clock, state="linked", on=day(9), why="", today=TODAY)
    with pytest.raises(UnableToChangeLink, match="first day"):
        correct_link(controller=clock, state="linked", on=None, why="x", today=TODAY)
    with pytest.raises(UnableToChangeLink, match="began on 2025-03-06"):
        correct_link(controller=clock, state="linked", on=day(5), why="x", today=TODAY)
