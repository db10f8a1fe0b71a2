"""Ticks on what is due: done, moved, handed over at once, and taken back in one."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from faults.due.services.by_hand import finish_follow_up
from faults.models import FollowUp, FollowUpKind, FollowUpState
from sites.kernel.engines.roles import Role
from sites.kernel.services.many import MOST_AT_ONCE
from sites.models import TickedAct, User
from tests import make, make_due
from tests.cast import Cast, Corner
from tests.make import TODAY
from tests.web.pages import Sheet, open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

DUE, MANY = "/due/", "/due/many/"


def made(ours: Corner, count: int, **given: Any) -> list[FollowUp]:
    """Make this many lines that are due today."""
    return [make_due.follow_up(property=ours.property, **given) for _ in range(count)]


def press(user: User, act: str, *rows: FollowUp, **more: Any) -> Sheet:
    """Tick these rows on the page as it stands, and press the button."""
    browser = signed_in(user)
    page = Sheet(browser.get(DUE))
    refs = [row.ref for row in rows]
    sent = {"once": page.value("once"), "back": DUE, "act": act, "rows": refs, **more}
    return Sheet(browser.post(MANY, sent, follow=True))


def take_back(user: User) -> Sheet:
    """Press "Take back" above the list."""
    one = TickedAct.objects.latest("pk")
    return Sheet(signed_in(user).post(f"/acts/{one.ref}/take-back/", follow=True))


def states(rows: list[FollowUp]) -> set[str]:
    """Return how these lines stand now."""
    return set(
        FollowUp.objects.filter(pk__in=[row.pk for row in rows]).values_list("state", flat=True)
    )


def said(sheet: Sheet) -> str:
    """Return what stands above the list about the act."""
    return sheet.panel("acted") if "acted" in sheet.panels else ""


def test_fifty_lines_are_done_in_two_presses_and_taken_back_in_one(
    cast: Cast, ours: Corner
) -> None:
    rows = made(ours, 50)
    browser = signed_in(cast.technician)
    page = Sheet(browser.get(DUE))
    whole = page.tree.find("form", id="many")[0].find("input", name="rows")[0]
    sent = {"once": page.value("once"), "back": DUE, "act": "due_finish"}
    sheet = Sheet(browser.post(MANY, {**sent, "rows": whole.attributes["value"]}, follow=True))
    assert "50 lines done." in said(sheet)
    assert states(rows) == {FollowUpState.DONE}
    assert {row.done_by for row in FollowUp.objects.all()} == {cast.technician}
    assert all(row.history.count() == 2 for row in rows)
    sheet = take_back(cast.technician)
    assert "50 taken back." in said(sheet)
    assert states(rows) == {FollowUpState.OPEN}


def test_what_is_refused_is_named_with_its_reason_and_the_rest_is_done(
    cast: Cast, ours: Corner
) -> None:
    rows = made(ours, 3)
    finish_follow_up(follow_up=rows[1], by=cast.owner, today=TODAY)
    sheet = press(cast.technician, "due_finish", *rows)
    assert "2 lines done. 1 refused." in said(sheet)
    assert f"{rows[1].what}: Somebody has done this already" in said(sheet)
    assert FollowUp.objects.get(pk=rows[1].pk).done_by == cast.owner
    take_back(cast.technician)
    # What the act did not do, it does not undo.
    assert [row.state for row in FollowUp.objects.order_by("pk")] == ["open", "done", "open"]


def test_a_line_that_was_changed_since_keeps_its_change(cast: Cast, ours: Corner) -> None:
    rows = made(ours, 2)
    press(cast.technician, "due_finish", *rows)
    later = FollowUp.objects.get(pk=rows[0].pk)
    later.note, later._history_user = "two cells", cast.owner
    later.save()
    sheet = take_back(cast.technician)
    assert "1 taken back." in said(sheet)
    assert f"{rows[0].what}: Changed since by olive" in said(sheet)
    assert [row.state for row in FollowUp.objects.order_by("pk")] == ["done", "open"]


def test_it_is_taken_back_once(cast: Cast, ours: Corner) -> None:
    (row,) = made(ours, 1)
    press(cast.technician, "due_finish", row)
    take_back(cast.technician)
    finish_follow_up(follow_up=row, by=cast.owner, today=TODAY)
    assert take_back(cast.technician).messages == ["This was taken back already."]
    assert states([row]) == {FollowUpState.DONE}


def test_pressed_twice_it_is_done_once(cast: Cast, ours: Corner) -> None:
    rows = made(ours, 3)
    browser = signed_in(cast.technician)
    once = Sheet(browser.get(DUE)).value("once")
    sent = {"once": once, "back": DUE, "act": "due_finish", "rows": [row.ref for row in rows]}
    browser.post(MANY, sent)
    second = Sheet(browser.post(MANY, sent, follow=True))
    assert second.messages == ["This was done already: nothing was done twice."]
    assert "3 lines done." in said(second)
    assert "refused" not in said(second)
    assert TickedAct.objects.count() == 1


def test_a_move_asks_once_for_all_and_goes_back_to_each_ones_own_day(
    cast: Cast, ours: Corner
) -> None:
    late = made(ours, 1, due_on=TODAY - timedelta(days=40), ruled_on=TODAY - timedelta(days=40))
    rows = [*late, *made(ours, 1)]
    before = [row.due_on for row in rows]
    asked = press(cast.technician, "due_move", *rows)
    assert asked.heading == "Move 2 lines"
    assert states(rows) == {"open"}
    assert [row.due_on for row in FollowUp.objects.order_by("pk")] == before
    typed = {"sure": "1", "to": "2025-07-01", "why": "frozen ground"}
    sheet = press(cast.technician, "due_move", *rows, **typed)
    assert "2 lines moved." in said(sheet)
    assert {row.due_on.isoformat() for row in FollowUp.objects.all()} == {"2025-07-01"}
    assert rows[0].history.latest().history_change_reason == "frozen ground"
    take_back(cast.technician)
    assert [row.due_on for row in FollowUp.objects.order_by("pk")] == before


def test_what_was_typed_stays_when_the_form_is_refused(cast: Cast, ours: Corner) -> None:
    rows = made(ours, 2)
    sheet = press(cast.technician, "due_move", *rows, sure="1", to="2025-07-01", why="")
    assert sheet.status == 422
    assert sheet.value("to") == "2025-07-01"
    assert sheet.value("rows").split() == [row.ref for row in rows]


def test_a_day_that_has_passed_is_refused_row_by_row(cast: Cast, ours: Corner) -> None:
    rows = made(ours, 2)
    yesterday = (TODAY - timedelta(days=1)).isoformat()
    sheet = press(cast.technician, "due_move", *rows, sure="1", to=yesterday, why="no")
    assert "0 lines moved. 2 refused." in said(sheet)
    assert "Take back" not in [each.words for each in sheet.tree.find("button")]


def test_lines_of_two_properties_are_handed_to_who_may_do_both_and_go_back_to_each(
    cast: Cast, ours: Corner, theirs: Corner
) -> None:
    here = make.user(Role.TECHNICIAN, username="hal", property=ours.property)
    rows = [
        make_due.follow_up(property=ours.property, handed_to=cast.owner),
        make_due.follow_up(property=theirs.property),
    ]
    asked = press(cast.dispatcher, "due_hand_over", *rows)
    offered = {each.words for each in asked.tree.find("option")}
    assert {"tessa", "hal", "nobody in particular"} <= offered
    assert {"clara", "otto", "trace"} & offered == set()
    sheet = press(cast.dispatcher, "due_hand_over", *rows, sure="1", to=str(here.pk))
    assert "1 line handed over. 1 refused." in said(sheet)
    assert "hal may not do this at" in said(sheet)
    take_back(cast.dispatcher)
    assert [row.handed_to for row in FollowUp.objects.order_by("pk")] == [cast.owner, None]


def test_all_that_match_are_shown_before_they_are_done(cast: Cast, ours: Corner) -> None:
    rows = made(ours, 53)
    other = make_due.follow_up(property=ours.property, handed_to=cast.owner)
    query = "whose=nobody"
    sheet = press(cast.technician, "due_finish", all="1", query=query)
    assert sheet.heading == "53 lines: done?"
    assert states(rows) == {"open"}
    sent = {"act": "due_finish", "rows": sheet.value("rows"), "sure": "1"}
    signed_in(cast.technician).post(MANY, {**sent, "once": sheet.value("once")})
    assert states(rows) == {"done"}
    assert states([other]) == {"open"}


def test_more_than_one_act_takes_is_refused_whole(cast: Cast, ours: Corner) -> None:
    one = make_due.follow_up(property=ours.property)
    FollowUp.objects.bulk_create(
        FollowUp(property=ours.property, kind=FollowUpKind.BY_HAND, what="x", due_on=TODAY)
        for _ in range(MOST_AT_ONCE)
    )
    sheet = press(cast.technician, "due_finish", all="1")
    assert "narrow the list down" in sheet.messages[0]
    one.delete()
    assert press(cast.technician, "due_finish", all="1").heading == "500 lines: done?"


@pytest.mark.parametrize("act", ["due_finish", "nonsense", ""])
def test_without_a_tick_nothing_is_done(cast: Cast, ours: Corner, act: str) -> None:
    rows = made(ours, 2)
    sheet = press(cast.technician, act)
    assert sheet.messages == ["Nothing was ticked, so nothing was done. Tick the lines first."]
    assert states(rows) == {"open"}


def test_a_line_of_another_client_is_neither_done_nor_named(
    cast: Cast, ours: Corner, theirs: Corner
) -> None:
    (mine,) = made(ours, 1)
    foreign = make_due.follow_up(property=theirs.property, what="wombat thing")
    person = make.user(Role.TECHNICIAN, username="pat", property=ours.property)
    sheet = press(person, "due_finish", mine, foreign)
    assert "1 line done. 1 refused." in said(sheet)
    assert "wombat" not in sheet.words
    assert states([foreign]) == {"open"}


def test_a_tracer_has_no_ticks_and_its_press_does_nothing(cast: Cast, ours: Corner) -> None:
    row = make_due.follow_up(property=ours.property, fault=ours.fault)
    assert open_page(cast.tracer, DUE).tree.find("form", id="many") == []
    browser = signed_in(cast.tracer)
    browser.post(MANY, {"act": "due_finish", "rows": row.ref})
    assert states([row]) == {"open"}


def test_another_person_neither_sees_an_act_nor_takes_it_back(cast: Cast, ours: Corner) -> None:
    (row,) = made(ours, 1)
    press(cast.technician, "due_finish", row)
    one = TickedAct.objects.get()
    assert open_page(cast.dispatcher, f"/acts/{one.ref}/").status == 404
    assert take_back(cast.dispatcher).status == 404
    assert "acted" not in open_page(cast.dispatcher, f"{DUE}?acted={one.ref}").panels
    assert states([row]) == {"done"}
    assert row.what in open_page(cast.technician, f"/acts/{one.ref}/").words


def test_who_may_no_longer_handle_it_takes_nothing_back(cast: Cast, ours: Corner) -> None:
    (row,) = made(ours, 1)
    press(cast.technician, "due_finish", row)
    cast.technician.grants.update(role=Role.CLIENT, client=ours.property.client)
    person = User.objects.get(pk=cast.technician.pk)
    one = TickedAct.objects.get()
    signed_in(person).post(f"/acts/{one.ref}/take-back/")
    assert states([row]) == {"done"}
    assert "not yours to change" in TickedAct.objects.get().left[0]["why"]


def test_the_way_back_never_leads_to_another_site(cast: Cast, ours: Corner) -> None:
    (row,) = made(ours, 1)
    sent = {"act": "due_finish", "rows": row.ref, "back": "https://evil.example/"}
    answer = signed_in(cast.owner).post(MANY, sent)
    assert answer.headers["Location"].startswith("/due/?acted=")


def test_alike_lines_of_one_property_stand_under_one_tick(
    cast: Cast, ours: Corner, theirs: Corner
) -> None:
    alike = made(ours, 2)
    alone = make_due.follow_up(property=theirs.property)
    boxes = open_page(cast.owner, DUE).panels["today"].find("input", name="rows")
    values = [set(box.attributes["value"].split()) for box in boxes]
    assert values == [{row.ref for row in alike}, *({row.ref} for row in alike), {alone.ref}]


def test_each_row_costs_the_same_however_many_are_ticked(cast: Cast, ours: Corner) -> None:
    rows = made(ours, 33)
    asked = []
    for chosen in (rows[:3], rows[3:]):
        browser = signed_in(cast.technician)
        with CaptureQueriesContext(connection) as queries:
            sent = {"act": "due_finish", "rows": [row.ref for row in chosen]}
            assert browser.post(MANY, sent).status_code == 302
        asked.append(len(queries))
    a_row = (asked[1] - asked[0]) / 27
    # Its savepoints, the lock, the row and its history: nothing is read that all rows share.
    assert a_row <= 7
