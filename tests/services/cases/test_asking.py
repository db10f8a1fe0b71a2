"""Asking the client: one open question, an answer with its day, and what follows from it."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from faults.cases.engines.stages import Stage
from faults.cases.services.asking import (
    Question,
    UnableToAsk,
    UnableToNoteEnable,
    ask_client,
    correct_question,
    enter_answer,
    note_enable_asked,
    take_back_enable_asked,
)
from faults.cases.services.told import Consent
from faults.models import Asked, Fault
from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from tests import make
from tests.services.cases.scene import (
    TO_PROVEN,
    Scene,
    make_scene,
    move,
    reported,
    walked_to,
)

pytestmark = pytest.mark.django_db

TODAY = make.TODAY
QUESTION = Question(TODAY, "Ann", "may we dig?", Decimal(4))


@pytest.fixture
def scene() -> Scene:
    """One property with two stations, its owner and its technician."""
    return make_scene()


def found(scene: Scene) -> Fault:
    """A fault whose cause was found."""
    return walked_to(scene, reported(scene), Stage.FOUND)


def ask(fault: Fault, question: Question = QUESTION) -> Asked:
    """Ask about it today."""
    return ask_client(fault=fault, question=question, by=make.user(), today=TODAY)


def test_one_question_is_open_at_a_time(scene: Scene) -> None:
    fault = found(scene)
    first = ask(fault)
    with pytest.raises(UnableToAsk, match="Enter that answer first"):
        ask(fault)
    enter_answer(asked=first, answer="no", on=TODAY, today=TODAY)
    assert ask(fault).answer == ""


@pytest.mark.parametrize(
    ("given", "error"),
    [
        ({"asked_on": TODAY + timedelta(days=1)}, UnableToUseDay),
        ({"asked_on": date(2025, 4, 1)}, UnableToAsk),
        ({"asked_of": " "}, UnableToAsk),
        ({"what": " "}, UnableToAsk),
        ({"up_to_hours": Decimal(0)}, UnableToAsk),
        ({"up_to_amount": Decimal(-1)}, UnableToAsk),
    ],
)
def test_a_question_that_cannot_be_is_refused(
    scene: Scene, given: dict[str, Any], error: type[Exception]
) -> None:
    fault = found(scene)
    usual = {"asked_on": TODAY, "asked_of": "Ann", "what": "may we dig?"}
    with pytest.raises(error):
        ask(fault, Question(**{**usual, **given}))
    assert not fault.asked.exists()


def test_a_closed_fault_is_not_asked_about(scene: Scene) -> None:
    fault = reported(scene)
    move(scene, fault, Stage.WITHDRAWN, why="false alarm")
    with pytest.raises(UnableToAsk, match="closed"):
        ask(fault)


@pytest.mark.parametrize(
    ("answer", "on", "error"),
    [
        ("perhaps", TODAY, UnableToAsk),
        ("yes", TODAY + timedelta(days=1), UnableToUseDay),
        ("yes", TODAY - timedelta(days=1), UnableToAsk),
    ],
)
def test_an_answer_that_cannot_be_is_refused(
    scene: Scene, answer: str, on: date, error: type[Exception]
) -> None:
    asked = ask(found(scene))
    with pytest.raises(error):
        enter_answer(asked=asked, answer=answer, on=on, today=TODAY)


def test_an_answer_is_entered_once_and_corrected_with_a_reason(scene: Scene) -> None:
    asked = ask(found(scene))
    enter_answer(asked=asked, answer="yes", on=TODAY, notes="on the phone", today=TODAY)
    with pytest.raises(UnableToAsk, match="answered already"):
        enter_answer(asked=asked, answer="no", on=TODAY, today=TODAY)
    with pytest.raises(UnableToCorrect):
        correct_question(asked=asked, values={"answer": "no"}, why=" ", today=TODAY)
    correct_question(asked=asked, values={"answer": "no"}, why="misheard", today=TODAY)
    asked.refresh_from_db()
    assert (asked.answer, asked.notes) == ("no", "on the phone")
    assert asked.history.first().history_change_reason == "was wrong: misheard"


def test_an_emptied_answer_opens_the_question_unless_another_is_open(scene: Scene) -> None:
    fault = found(scene)
    first = ask(fault)
    enter_answer(asked=first, answer="no", on=TODAY, today=TODAY)
    correct_question(asked=first, values={"answer": ""}, why="not said", today=TODAY)
    assert first.answered_on is None
    enter_answer(asked=first, answer="no", on=TODAY, today=TODAY)
    ask(fault)
    with pytest.raises(UnableToAsk, match="Another question"):
        correct_question(asked=first, values={"answer": ""}, why="not said", today=TODAY)


def test_the_move_to_agreed_answers_the_open_question(scene: Scene) -> None:
    fault = found(scene)
    asked = ask(fault)
    move(scene, fault, Stage.AGREED)
    asked.refresh_from_db()
    assert (asked.answer, asked.answered_on) == ("yes", TODAY)


def test_a_yes_from_before_the_question_is_kept_as_of_the_question(scene: Scene) -> None:
    fault = found(scene)
    asked = ask(fault)
    move(scene, fault, Stage.AGREED, facts=Consent("Ann", TODAY - timedelta(days=3)))
    asked.refresh_from_db()
    assert asked.answered_on == TODAY


def test_work_within_the_standing_authority_leaves_the_question_open(scene: Scene) -> None:
    from faults.cases.engines.consent import Limit

    make.authority(property=scene.place)
    fault = found(scene)
    asked = ask(fault)
    move(scene, fault, Stage.AGREED, facts=Consent(limit=Limit(Decimal(1)), is_standing=True))
    asked.refresh_from_db()
    assert asked.answer == ""


def test_central_is_asked_for_proven_stations_and_that_is_taken_back(scene: Scene) -> None:
    fault = found(scene)
    rows = list(fault.stations.all())
    with pytest.raises(UnableToNoteEnable, match="not proven"):
        note_enable_asked(rows=rows, on=TODAY, today=TODAY)
    walked_to(scene, fault, *TO_PROVEN[1:])
    rows = list(fault.stations.all())
    with pytest.raises(UnableToUseDay):
        note_enable_asked(rows=rows, on=TODAY + timedelta(days=1), today=TODAY)
    with pytest.raises(UnableToNoteEnable, match="before the fault"):
        note_enable_asked(rows=rows, on=date(2025, 4, 1), today=TODAY)
    with pytest.raises(UnableToNoteEnable, match="at least one"):
        note_enable_asked(rows=[], on=TODAY, today=TODAY)
    note_enable_asked(rows=rows, on=TODAY, today=TODAY)
    assert {row.enable_asked_on for row in fault.stations.all()} == {TODAY}
    take_back_enable_asked(rows=rows)
    assert {row.enable_asked_on for row in fault.stations.all()} == {None}
    with pytest.raises(UnableToNoteEnable, match="Nobody"):
        take_back_enable_asked(rows=rows)


def test_a_station_that_goes_back_forgets_that_central_was_asked(scene: Scene) -> None:
    fault = walked_to(scene, found(scene), *TO_PROVEN[1:])
    note_enable_asked(rows=list(fault.stations.all()), on=TODAY, today=TODAY)
    move(scene, fault, Stage.FOUND, why="dead again")
    assert {row.enable_asked_on for row in fault.stations.all()} == {None}
