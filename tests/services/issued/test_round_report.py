"""What was done on a round, counted by hand here. The rules are our own, no source."""

from datetime import timedelta
from typing import Any

import pytest

from faults.models import Job, JobState, Round, RoundVisit, WalkNote
from faults.rounds.services.leaving import leave_out
from reports.issued.queries import newest_turn
from reports.issued.services.asking import Asked
from reports.issued.services.composing import compose
from reports.issued.services.drafting import UnableToWriteReport, refuse_another_thing
from reports.models import Audience, ReportKind
from sites.documents.engines.document import Document, Facts, Table
from sites.kernel.engines.roles import Role
from sites.models import Property, Station, User
from tests import make, make_jobs, make_reports, make_rounds
from tests.services.issued.reading import figures_alike_everywhere
from tests.services.rounds.scene import TODAY, at, run, seen

pytestmark = pytest.mark.django_db


@pytest.fixture
def user(db: None) -> User:
    return make.user(Role.DISPATCHER, first_name="Dina", last_name="Dispatch")


@pytest.fixture
def places(db: None) -> list[Property]:
    """Two properties of a client and one of another, each with stations A:1 to A:3."""
    ours = make.client()
    found = [make.place(code="Elm", client=ours), make.place(code="Fig", client=ours)]
    found.append(make.place(code="Oak"))
    for place in found:
        clock = make.controller(property=place, name="A")
        for number in (1, 2, 3):
            make.station(controller=clock, number=number, name=f"{place.code} bed {number}")
    return found


@pytest.fixture
def walk(places: list[Property], user: User) -> Round:
    """A walk over all three: Elm walked with a fault and a locked gate, Fig not yet begun.

    Oak was walked whole.
    """
    the_round = make_rounds.round_over(*places, by=user)
    visits = {visit.property.code: visit.job for visit in make_rounds.planned(the_round)}
    first, second, third = stations(places[0])
    seen(first)
    seen(second, result="does not")
    make.fault(second, reported_on=TODAY, property=places[0], key="F-77")
    elm = job(visits["Elm"])
    leave_out(job=elm, thing=third, why="locked", on=TODAY, by=user, today=TODAY)
    run(elm, user)
    for station in stations(places[2]):
        seen(station)
    run(job(visits["Oak"]), user)
    return the_round


def job(found: Job | None) -> Job:
    assert found is not None
    return found


def stations(place: Property) -> list[Station]:
    rows = Station.objects.filter(controller__property=place).select_related("controller__property")
    return list(rows.order_by("number"))


def asked(the_round: Round, **given: Any) -> Asked:
    about = {"kind": ReportKind.ROUND.value, "round": the_round, "from_on": TODAY}
    defaults = {**about, "until_on": TODAY + timedelta(days=2)}
    return make_reports.asked(given.pop("place", None), **{**defaults, **given})


def but_place(one: Asked) -> dict[str, Any]:
    """What `make_reports` takes beside the property."""
    return {name: value for name, value in vars(one).items() if name != "place"}


def told(the_round: Round, **given: Any) -> Document:
    return compose(asked(the_round, **given), at=at(3), by=None)


def table(document: Document, key: str) -> list[list[str]]:
    blocks = [block for section in document.sections for block in section.blocks]
    (found,) = [each for each in blocks if isinstance(each, Table) and each.key == key]
    return [[cell.words for cell in row] for row in found.rows]


def facts(document: Document) -> dict[str, str]:
    blocks = [block for section in document.sections for block in section.blocks]
    rows = [row for block in blocks if isinstance(block, Facts) for row in block.rows]
    return {name: figure.words for name, figure in rows}


def test_walked_of_all_and_left_over_the_properties_of_a_client(
    walk: Round, places: list[Property]
) -> None:
    document = told(walk, client=places[0].client)
    said = facts(document)
    assert document.title == "Round done: The walk"
    assert said["What for"] == "Station walk"
    assert [said[name] for name in ("Properties", "Stations or timers it goes to", "Done")] == [
        *("2", "6", "2")
    ]
    assert (said["Left"], said["Per cent done"]) == ("4", "33")
    assert said["Faults reported out of it"] == "1"
    visits = table(document, "visits")
    assert [row[1:3] + row[5:] for row in visits] == [
        ["Elm", "done", "2", "3", "1"],
        ["Fig", "planned", "0", "3", "0"],
    ]
    assert visits[0][4]
    assert table(document, "left") == [
        ["Elm", "A:3 Elm bed 3", "locked, no way in"],
        ["Fig", "all: 3 stations or timers", "nobody has been there yet"],
    ]
    assert [row[1:4] for row in table(document, "faults")] == [["Elm", "F-77", "A:2"]]
    assert table(document, "days") == [[TODAY.isoformat(), "Elm", "A:1, A:2", "2"]]


@pytest.mark.parametrize(("days", "lines"), [(2, 3), (3, 1)])
def test_of_a_visit_that_was_begun_by_then_each_station_left_is_named(
    walk: Round, places: list[Property], days: int, lines: int
) -> None:
    fig = job(RoundVisit.objects.get(round=walk, property=places[1]).job)
    fig.state, fig.started_at, fig.crew = JobState.STARTED, at(days), make_jobs.crew()
    fig.save()
    left = [row[1:] for row in table(told(walk), "left") if row[0] == "Fig"]
    assert len(left) == lines
    if lines == 3:
        assert left[0] == ["A:1 Fig bed 1", "not done yet"]


def test_of_one_property_and_of_all_for_ourselves(walk: Round, places: list[Property]) -> None:
    one = told(walk, place=places[2])
    assert (facts(one)["Done"], facts(one)["Left"], facts(one)["Per cent done"]) == (
        "3",
        "0",
        "100",
    )
    assert table(one, "left") == table(one, "faults") == []
    whole = told(walk, audience=Audience.US.value)
    assert (facts(whole)["Properties"], facts(whole)["Done"]) == ("3", "5")
    assert [row[1] for row in table(whole, "days")] == ["Elm", "Oak"]


def test_what_was_recorded_after_the_last_day_is_told_later(
    walk: Round, places: list[Property], user: User
) -> None:
    fig = job(walk.visits.get(property=places[1]).job)
    for station, days in zip(stations(places[1]), (0, 1, 2), strict=True):
        seen(station, days=days)
    run(fig, user, days=2)
    assert [
        (facts(told(walk, place=places[1], until_on=TODAY + timedelta(days=days)))["Done"],
         table(told(walk, place=places[1], until_on=TODAY + timedelta(days=days)), "visits")[0][2])
        for days in (0, 1, 2)
    ] == [("1", "planned"), ("2", "planned"), ("3", "done")]  # fmt: skip


@pytest.mark.parametrize(("first", "turns"), [(-1, 1), (0, 1), (1, 0)])
def test_it_tells_of_the_turns_that_began_in_the_period(
    walk: Round, places: list[Property], first: int, turns: int
) -> None:
    document = told(walk, place=places[0], from_on=TODAY + timedelta(days=first))
    assert len(table(document, "visits")) == turns
    if not turns:
        assert facts(document)["Per cent done"] == "not known"


def test_a_property_that_was_taken_out_after_its_visit_is_still_told(
    walk: Round, places: list[Property]
) -> None:
    walk.stops.filter(property=places[0]).update(taken_out_on=TODAY + timedelta(days=1))
    assert facts(told(walk, client=places[0].client))["Done"] == "2"


def test_the_dead_without_a_fault_are_named(walk: Round, places: list[Property]) -> None:
    assert not any(section.key == "dead" for section in told(walk).sections)
    first, second, _third = stations(places[2])
    WalkNote.objects.filter(station__in=[first, second]).update(result="does not")
    document = told(walk, place=places[2])
    assert table(document, "dead") == [["Oak", "A:1 Oak bed 1"], ["Oak", "A:2 Oak bed 2"]]


def test_nobody_is_named_to_a_client(walk: Round, places: list[Property]) -> None:
    document = told(walk, client=places[0].client)
    assert "Dina" not in repr(document.sections)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_figure_is_the_same_in_pdf_workbook_and_page(
    walk: Round, places: list[Property], user: User, language: str, paper: str
) -> None:
    given = {"client": places[0].client, "language": language, "paper": paper}
    draft = make_reports.draft(None, user, **but_place(asked(walk, **given)))
    assert figures_alike_everywhere(draft) > 40
    assert ("Ronda hecha" in draft.title) == (language == "es")


def test_a_new_version_is_of_the_same_round(walk: Round, places: list[Property]) -> None:
    user = make.user(Role.OWNER)
    report = make_reports.issued(None, user, **but_place(asked(walk, client=places[0].client)))
    assert Asked.of(report) == asked(walk, client=places[0].client)
    refuse_another_thing(asked(walk, client=places[0].client), report)
    other = make_rounds.round_over(places[0], name="Another")
    for wrong in (asked(other, client=places[0].client), asked(walk, place=places[0])):
        with pytest.raises(UnableToWriteReport):
            refuse_another_thing(wrong, report)


def test_the_newest_turn_is_one_that_began(walk: Round) -> None:
    assert newest_turn(walk, TODAY) == TODAY
    assert newest_turn(walk, TODAY - timedelta(days=1)) is None
