"""Moves: whose move it is first, then what they wait on, with the link that moves it on."""

from datetime import date, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.cases.engines.stages import Stage
from faults.models import Asked, DigOverride, Fault, Job, JobKind, Wait
from faults.waits.engines.waits import Mover, WaitsOn
from faults.waits.queries.moves import first_group, grouped, groups_of, waits_shown
from faults.waits.views import whose
from faults.waits.views.next_moves import next_move
from sites.kernel.engines.roles import Action, Role
from sites.models import Station, User
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.web.pages import fragment, open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def dispatcher() -> User:
    """Who plans everything."""
    return make.user(Role.DISPATCHER)


def off(count: int = 1, **given: str) -> list[Station]:
    """Take stations of one new property off central control."""
    clock = make.controller(property=make.place(**given))
    stations = [make.station(controller=clock) for _ in range(count)]
    for station in stations:
        make.stopgap(station=station, on=date(2025, 5, 1))
    rebuild_spells(station.pk for station in stations)
    return stations


def case(count: int = 1, key: str = "F-9", **given: str) -> Fault:
    """Report a fault on that many stations that are off central control."""
    return make.fault(*off(count, **given), key=key)


def at_stage(fault: Fault, stage: Stage) -> Fault:
    """Put a fault and all its stations at a stage."""
    fault.stations.update(stage=stage.value)
    Fault.objects.filter(pk=fault.pk).update(stage=stage.value)
    fault.refresh_from_db()
    return fault


def test_says_whose_move_it_is_ours_first(dispatcher: User) -> None:
    make.central_state(controller=make.station().controller, from_on=date(2025, 6, 1))
    lost = make.station()
    make.central_state(controller=lost.controller, from_on=date(2025, 6, 5))
    rebuild_spells([lost.pk])
    case(2)
    page = open_page(dispatcher, "/moves/")
    heads = [each.words for each in page.tree.find("h2")]
    assert heads == ["Whose move: ours", "Whose move: central's operator"]
    assert page.rows("mover-ours")[0][0] == "F-9"
    assert page.rows("mover-ours")[0][3:5] == ["2025-05-01", "45"]


def test_stations_of_one_case_stand_in_one_line_with_the_first_of_their_names(
    dispatcher: User,
) -> None:
    case(9)
    (row,) = open_page(dispatcher, "/moves/").rows("mover-ours")
    assert row[2].startswith("9: ")
    assert row[2].endswith("and 3 more")


def test_the_oldest_comes_first_within_what_they_wait_on(dispatcher: User) -> None:
    newer, older = case(key="NEW"), case(key="OLD")
    Fault.objects.filter(pk=older.pk).update(reported_on=date(2025, 4, 1))
    older.refresh_from_db()
    older.save()
    newer.save()
    assert open_page(dispatcher, "/moves/").column(0, "mover-ours") == ["OLD", "NEW"]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("", ["F-1", "F-2", "no fault open"]),
        ("mover=client", ["F-2"]),
        ("waits_on=report", ["no fault open"]),
        ("q=F-1", ["F-1"]),
        ("q=two", ["F-2"]),
        ("q=nothing-like-it", []),
        ("mover=nobody", ["F-1", "F-2", "no fault open"]),
    ],
)
def test_filters(dispatcher: User, query: str, expected: list[str]) -> None:
    case(key="F-1", code="one")
    asked = case(key="F-2", code="two")
    asked.stations.update(stage=Stage.FOUND.value)
    Asked.objects.create(fault=asked, asked_on=make.TODAY, asked_of="Ann", what="dig?")
    off(code="three")
    rows = fragment(dispatcher, f"/moves/?{query}").rows()
    assert sorted(row[0] for row in rows) == expected


def test_filters_by_client_and_property(dispatcher: User) -> None:
    ours = case(key="F-1")
    case(key="F-2")
    for query in (f"client={ours.property.client.ref}", f"property={ours.property.ref}"):
        assert [row[0] for row in fragment(dispatcher, f"/moves/?{query}").rows()] == ["F-1"]


def test_open_faults_that_hold_no_station_off_stand_below_with_what_they_wait_on(
    dispatcher: User,
) -> None:
    one, two = make.fault(make.station(), key="F-1"), make.fault(make.station(), key="F-2")
    at_stage(two, Stage.PROVEN)
    case(key="F-3")
    page = open_page(dispatcher, "/moves/")
    rows = page.rows("on-central")
    assert [row[0] for row in rows] == ["F-1", "F-2"]
    assert rows[0][3:5] == ["a visit to be scheduled", "ours"]
    assert rows[1][3:5] == ["the return to central control to be entered", "ours"]
    assert page.links["Plan a visit F-1"] == f"/faults/{one.ref}/jobs/add/"
    assert page.links["Return to central F-2"] == f"/faults/{two.ref}/move/returned/"
    # Lines that htmx asks for are those of stations off central alone.
    assert "F-1" not in fragment(dispatcher, "/moves/").words


def test_exports_one_row_for_each_station(dispatcher: User) -> None:
    case(2)
    answer = signed_in(dispatcher).get("/moves/?export=csv")
    lines = b"".join(answer.streaming_content).decode().splitlines()
    assert len(lines) == 3
    assert "a visit to be scheduled" in lines[1]


def test_every_next_step_opens_for_whom_it_is_offered(dispatcher: User) -> None:
    fault = case(2)
    crew = make_jobs.crew()
    make_jobs.job(fault=fault, crew=crew, day=date(2025, 6, 18), starts_at=time(8))
    question = Asked.objects.create(fault=fault, asked_on=make.TODAY, asked_of="Ann", what="dig?")
    browser, steps = signed_in(dispatcher), set()
    for on in WaitsOn:
        Wait.objects.update(waits_on=on.value)
        waits = Wait.objects.all()
        (group,) = groups_of(waits, list(grouped(waits)))
        step = next_move(group, set(Action))
        assert browser.get(step.url).status_code == 200, (on, step)
        steps.add(step.url.split("?")[0])
        # The page of the fault asks for its one group by a shorter way.
        alone = first_group(waits_shown(waits))
        assert alone is not None
        assert next_move(alone, set(Action)) == step
        assert (alone.count, alone.since, alone.until) == (group.count, group.since, group.until)
    assert f"/questions/{question.pk}/answer/" in steps
    assert len(steps) > 10


def first_act(user: User, url: str) -> tuple[str, str] | None:
    """Return the words and address of the act that a page offers before all others."""
    found = [a for a in open_page(user, url).tree.find("a") if "first" in a.classes]
    assert len(found) <= 1
    return (found[0].words, found[0].attributes["href"]) if found else None


def test_a_fault_and_its_station_offer_first_what_moves_them_on(dispatcher: User) -> None:
    fault = case(2)
    one, two = (row.station for row in fault.stations.order_by("pk"))
    here = f"/faults/{fault.ref}/"
    plan = ("Plan a visit", f"{here}jobs/add/")
    assert first_act(dispatcher, here) == plan
    assert first_act(dispatcher, f"/stations/{one.ref}/") == plan
    page = open_page(dispatcher, here)
    assert "Waits on a visit to be scheduled" in page.words
    # Of two that wait on different things ours comes first, whichever is older.
    Wait.objects.filter(station=two).update(waits_on=WaitsOn.ASK.value)
    Wait.objects.filter(station=one).update(mover=Mover.UTILITIES.value, since=date(2024, 1, 1))
    assert first_act(dispatcher, here) == ("Ask the client", f"{here}ask/")
    # What a link would lead back to is no act; the stage's own next step stands there then.
    Wait.objects.update(waits_on=WaitsOn.GIVEN_UP.value)
    words, url = first_act(dispatcher, here) or ("", "")
    assert (words, url) == ("Schedule a visit", f"{here}move/scheduled/")


def test_a_station_on_central_offers_to_report_a_fault_first(dispatcher: User) -> None:
    station = make.station()
    words, url = first_act(dispatcher, f"/stations/{station.ref}/") or ("", "")
    assert (words, url) == ("Report a fault", f"/stations/{station.ref}/faults/report/")


def test_a_client_is_offered_nothing_of_the_work(cast: Cast, ours: Corner) -> None:
    station = make.station(controller=ours.controller, number=78)
    make.stopgap(station=station)
    rebuild_spells([station.pk])
    (words, _url) = first_act(cast.client_user, f"/stations/{station.ref}/") or ("", "")
    assert words == "Report a fault"
    page = open_page(cast.client_user, f"/stations/{station.ref}/")
    assert "What comes next" not in page.html


def test_a_tracer_sees_the_moves_of_its_own_faults_alone(cast: Cast, ours: Corner) -> None:
    other = make.station(controller=ours.controller, number=77)
    make.stopgap(station=other)
    rebuild_spells([other.pk])
    assert len(open_page(cast.tracer, "/moves/").rows()) == 1
    assert len(open_page(cast.dispatcher, "/moves/").rows()) == 3


def test_a_client_sees_no_moves(cast: Cast) -> None:
    assert open_page(cast.client_user, "/moves/").status == 403
    assert open_page(cast.client_user, "/moves/board/").status == 403


def _asked(user: User, url: str) -> int:
    browser = signed_in(user)
    with CaptureQueriesContext(connection) as asked:
        assert browser.get(url).status_code == 200
    return len(asked)


def test_asks_as_often_for_thirty_lines_as_for_three(dispatcher: User) -> None:
    def make_cases(count: int) -> None:
        for _ in range(count):
            fault = case()
            make_jobs.job(fault=fault)
            Asked.objects.create(fault=fault, asked_on=make.TODAY, asked_of="Ann", what="dig?")
            off()

    make_cases(3)
    few = _asked(dispatcher, "/moves/")
    make_cases(27)
    assert (few, _asked(dispatcher, "/moves/")) == (few, few)
    assert few <= 16


def test_a_yes_to_a_fault_that_holds_no_station_off_leads_to_the_dig(dispatcher: User) -> None:
    fault = at_stage(make.fault(make.station(), make.station(number=2)), Stage.AGREED)
    here = f"/faults/{fault.ref}/"
    assert first_act(dispatcher, here) == ("Give notice", f"{here}notices/give/")
    page = open_page(dispatcher, here)
    assert "Waits on a notice to be given" in page.words
    day = make.TODAY + timedelta(days=2)
    dig = make_jobs.job(fault=fault, kind=JobKind.DIG, crew=make_jobs.crew(), day=None)
    DigOverride.objects.create(job=dig, reason="marked by hand", at=make.NOW)
    assert first_act(dispatcher, here) == ("Plan a dig", f"/jobs/{dig.ref}/board/move/")
    Job.objects.filter(pk=dig.pk).update(day=day)
    assert first_act(dispatcher, here) == ("See the board", f"/moves/board/?day={day}")


def test_a_fault_with_a_station_off_and_one_on_offers_what_is_ours(dispatcher: User) -> None:
    fault = case(1)
    on = make.station(controller=fault.stations.get().station.controller)
    fault.stations.create(station=on, stage=Stage.REPORTED.value)
    Wait.objects.update(waits_on=WaitsOn.ANSWER.value, mover=Mover.CLIENT.value)
    here = f"/faults/{fault.ref}/"
    assert first_act(dispatcher, here) == ("Plan a visit", f"{here}jobs/add/")
    # It is listed with what holds a station off, not a second time.
    assert "on-central" not in open_page(dispatcher, "/moves/").panels


def test_a_station_is_told_of_at_its_older_fault(dispatcher: User) -> None:
    station = make.station()
    older, newer = make.fault(station, key="F-1"), make.fault(station, key="F-2")
    Fault.objects.filter(pk=older.pk).update(reported_on=date(2025, 4, 1))
    assert open_page(dispatcher, "/moves/").column(0, "on-central") == ["F-1"]
    assert first_act(dispatcher, f"/faults/{newer.ref}/") is not None


def test_more_than_are_listed_are_counted(
    dispatcher: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("faults.waits.views.whose.MOST_ON_CENTRAL", 2)
    for number in range(2):
        make.fault(make.station(), key=f"F-{number}")
    assert "not listed" not in open_page(dispatcher, "/moves/").words
    make.fault(make.station(), key="F-3")
    page = open_page(dispatcher, "/moves/")
    assert len(page.rows("on-central")) == 2
    assert "One more fault is not listed." in page.words


def test_the_link_to_the_second_page_leads_to_the_lines_that_the_first_leaves_out(
    dispatcher: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(whose, "GROUPS_A_PAGE", 1)
    case(key="F-8")
    case(key="F-9")
    first = open_page(dispatcher, "/moves/")
    (link,) = [a.attributes["href"] for a in first.tree.find("a") if a.words == "2"]
    second = open_page(dispatcher, f"/moves/{link}")
    shown = [page.rows("mover-ours")[0][0] for page in (first, second)]
    assert sorted(shown) == ["F-8", "F-9"]
