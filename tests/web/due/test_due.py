"""What is due: the list by how the days stand, its filters, and what a tap does."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.urls import reverse

from faults.models import FollowUp, FollowUpKind
from sites.models import User
from tests import make, make_due
from tests.cast import Cast, Corner
from tests.make import TODAY
from tests.web.pages import Sheet, open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

DUE = "/due/"


def lines(sheet: Sheet, name: str) -> list[str]:
    """Return the words of the lines of one group."""
    if name not in sheet.panels:
        return []
    links = [each for each in sheet.panels[name].find("a") if "due-words" in each.classes]
    return [each.words for each in links]


def url(row: FollowUp, verb: str) -> str:
    """Return the address of a verb."""
    return reverse(f"faults:due_{verb}", args=[row.ref])


@pytest.fixture
def rows(ours: Corner) -> dict[str, FollowUp]:
    """Three lines of our property by their words, and one of a station."""
    days = {"late": -3, "now": 0, "soon": 4}
    made = {
        word: make_due.follow_up(
            property=ours.property, what=word, due_on=TODAY + timedelta(days=days[word])
        )
        for word in days
    }
    made["battery"] = make_due.follow_up(
        property=ours.property,
        kind=FollowUpKind.BATTERY,
        cause="device:1:2025-01-01",
        device=ours.property.devices.get(),
        due_on=TODAY,
        ruled_on=TODAY,
    )
    return made


def test_lines_stand_under_overdue_today_and_coming(cast: Cast, rows: dict[str, FollowUp]) -> None:
    sheet = open_page(cast.technician, DUE)
    assert "1 overdue, 2 today, 1 coming." in sheet.words
    assert lines(sheet, "overdue") == ["late"]
    assert lines(sheet, "today") == ["Change the batteries of timer marigold timer", "now"]
    assert lines(sheet, "coming") == ["soon"]
    assert "3 days late" in sheet.panel("overdue")


def test_a_day_is_one_of_the_property(cast: Cast) -> None:
    place = make.place(time_zone="Pacific/Kiritimati")  # 16 June already
    make_due.follow_up(property=place, what="there", due_on=TODAY)
    assert lines(open_page(cast.owner, DUE), "overdue") == ["there"]


def test_filters_keep_a_property_a_kind_and_whose_it_is(
    cast: Cast, rows: dict[str, FollowUp], theirs: Corner
) -> None:
    make_due.follow_up(property=theirs.property, what="elsewhere", handed_to=cast.owner)
    assert lines(open_page(cast.owner, f"{DUE}?q=WOMBAT"), "today") == ["elsewhere"]
    assert len(lines(open_page(cast.owner, f"{DUE}?kind=battery"), "today")) == 1
    assert lines(open_page(cast.owner, f"{DUE}?whose=mine"), "today") == ["elsewhere"]
    assert "elsewhere" not in lines(open_page(cast.owner, f"{DUE}?whose=nobody"), "today")
    assert "Nothing matches this filter" in open_page(cast.owner, f"{DUE}?q=nowhere").words
    assert len(lines(open_page(cast.owner, f"{DUE}?kind=nonsense"), "today")) == 3


def test_the_totals_lead_to_what_is_overdue_today_or_coming(
    cast: Cast, rows: dict[str, FollowUp]
) -> None:
    all_of_it = open_page(cast.owner, f"{DUE}?q=marigold")
    counts = {"overdue": "Overdue (1)", "today": "Today (2)", "coming": "Coming (1)"}
    for name, words in counts.items():
        sheet = open_page(cast.owner, DUE + all_of_it.links[words])
        assert len(lines(sheet, name)) == int(words[-2])
        assert [other for other in counts if lines(sheet, other)] == [name]
        assert set(counts.values()) <= set(sheet.links)


def test_one_tap_does_it_and_leads_back_to_the_filter(
    cast: Cast, rows: dict[str, FollowUp]
) -> None:
    back = f"{DUE}?q=marigold"
    sheet = send(cast.technician, url(rows["late"], "finish"), back=back)
    assert sheet.messages == ["Done: late."]
    assert sheet.response.redirect_chain == [(back, 302)]
    assert lines(sheet, "overdue") == []
    row = FollowUp.objects.get(pk=rows["late"].pk)
    assert (row.state, row.done_by, row.done_on) == ("done", cast.technician, TODAY)


def test_what_was_done_lately_can_be_opened_again(cast: Cast, rows: dict[str, FollowUp]) -> None:
    send(cast.technician, url(rows["late"], "finish"), note="two cells")
    sheet = open_page(cast.technician, f"{DUE}?show=done")
    assert lines(sheet, "done") == ["late"]
    assert "two cells" in sheet.panel("done")
    sheet = send(cast.technician, url(rows["late"], "reopen"))
    assert lines(sheet, "overdue") == ["late"]


@pytest.mark.parametrize("back", ["https://evil.example/", "//evil.example/x", "javascript:x"])
def test_the_way_back_never_leads_to_another_site(
    cast: Cast, rows: dict[str, FollowUp], back: str
) -> None:
    answer = signed_in(cast.owner).post(url(rows["now"], "finish"), {"back": back})
    assert answer.headers["Location"] == DUE


def test_it_is_moved_to_a_day_with_a_reason(cast: Cast, rows: dict[str, FollowUp]) -> None:
    sheet = send(cast.technician, url(rows["battery"], "move"), to="2025-07-01", why="no time")
    assert sheet.messages == ["Moved to 2025-07-01."]
    assert "moved by hand" in sheet.panel("coming")


def test_a_refused_move_keeps_what_was_typed(cast: Cast, rows: dict[str, FollowUp]) -> None:
    sheet = send(cast.technician, url(rows["now"], "move"), to="2025-01-01", why="no time")
    assert sheet.status == 422
    assert "has passed" in sheet.errors[0]
    assert (sheet.value("why"), sheet.value("to")) == ("no time", "2025-01-01")


def test_it_is_handed_to_a_person_of_the_property(cast: Cast, rows: dict[str, FollowUp]) -> None:
    page = open_page(cast.dispatcher, url(rows["now"], "hand_over"))
    offered = {each.words for each in page.tree.find("option")}
    assert {"tessa", "dora", "nobody in particular"} <= offered
    assert {"clara", "otto", "stan", "trace"} & offered == set()
    sheet = send(cast.dispatcher, url(rows["now"], "hand_over"), to=str(cast.technician.pk))
    assert sheet.messages == ["It is with tessa now."]
    assert "with tessa" in sheet.panel("today")
    assert lines(open_page(cast.technician, f"{DUE}?whose=mine"), "today") == ["now"]


def test_two_people_who_do_it_at_once_are_told(cast: Cast, rows: dict[str, FollowUp]) -> None:
    stamp = open_page(cast.technician, url(rows["now"], "move")).value("stamp")
    send(cast.owner, url(rows["now"], "finish"))
    sheet = send(
        cast.technician, url(rows["now"], "move"), to="2025-07-01", why="no time", stamp=stamp
    )
    assert sheet.status == 422
    assert "Somebody changed this while your form was open" in sheet.words


def test_a_tracer_sees_its_own_and_has_no_buttons(
    cast: Cast, ours: Corner, rows: dict[str, FollowUp]
) -> None:
    make_due.follow_up(property=ours.property, fault=ours.fault, what="on the fault")
    sheet = open_page(cast.tracer, DUE)
    assert lines(sheet, "today") == ["on the fault"]
    assert "Done" not in [each.words for each in sheet.panels["today"].find("button")]


def test_the_property_page_shows_what_is_due_there_but_not_to_clients(
    cast: Cast, ours: Corner, rows: dict[str, FollowUp]
) -> None:
    page = reverse("reports:property", args=[ours.property.ref])
    assert "Change the batteries" in open_page(cast.technician, page).panel("due-here")
    assert "due-here" not in open_page(cast.client_user, page).panels


@pytest.mark.parametrize("where", ["property", "station", "fault"])
def test_something_is_noted_where_it_is_seen(cast: Cast, ours: Corner, where: str) -> None:
    about: dict[str, Any] = {
        "property": ("reports:property", ours.property),
        "station": ("reports:station", ours.off_central),
        "fault": ("faults:fault", ours.fault),
    }
    name, thing = about[where]
    page = open_page(cast.technician, reverse(name, args=[thing.ref]))
    note = page.links["Note something to do"]
    sheet = send(cast.technician, note, what="look again", due_on="2025-06-20", handed_to="")
    assert sheet.messages == ["Noted for 2025-06-20: look again."]
    row = FollowUp.objects.get()
    assert (row.property, row.due_on) == (ours.property, date(2025, 6, 20))
    assert where == "property" or getattr(row, where) == thing
    assert (
        "Note something to do"
        not in open_page(cast.client_user, reverse(name, args=[thing.ref])).links
    )


def test_a_note_without_words_is_refused(cast: Cast, ours: Corner) -> None:
    address = reverse("faults:due_note_at_property", args=[ours.property.ref])
    sheet = send(cast.technician, address, what="", due_on="2025-06-20")
    assert sheet.status == 422
    assert sheet.value("due_on") == "2025-06-20"


def test_the_rules_are_shown_in_words_and_kept(cast: Cast) -> None:
    address = reverse("faults:follow_up_rules")
    sheet = open_page(cast.dispatcher, address)
    assert "common practice and have no source" in sheet.words
    fields = {
        each.attributes["name"]: each.attributes.get("value", "on")
        for each in sheet.tree.find("input")
        if each.attributes.get("name", "").startswith(("on_", "days_"))
    }
    assert len(fields) == 30
    sheet = send(cast.dispatcher, address, **{**fields, "days_battery": "90"})
    assert sheet.value("days_battery") == "90"
    sheet = send(cast.dispatcher, address, **{**fields, "days_battery": "-4"})
    assert sheet.status == 422
    assert sheet.value("days_battery") == "-4"


def test_pages_of_fifty_lines(cast: Cast, ours: Corner) -> None:
    for n in range(53):
        make_due.follow_up(property=ours.property, what=f"thing {n}")
    sheet = open_page(cast.owner, DUE)
    assert len(lines(sheet, "today")) == 50
    later = open_page(cast.owner, DUE + sheet.links["Later"])
    assert len(lines(later, "today")) == 3


QUERIES = 9


@pytest.mark.parametrize("person", ["owner", "technician", "tracer"])
def test_it_asks_as_often_for_thirty_lines_as_for_three(
    cast: Cast, ours: Corner, person: str, django_assert_num_queries: Any
) -> None:
    """Session, user, grants; the zones; how many lines, their keys, its lines, the totals."""
    user: User = getattr(cast, person)
    for count in (3, 27):
        for n in range(count):
            fault = make.fault(ours.off_central) if n % 3 else ours.fault
            make_due.follow_up(
                property=ours.property,
                what="",
                kind=FollowUpKind.RETEST_FIRST,
                cause=f"x:{n}:{count}",
                fault=fault,
                station=ours.on_central,
                handed_to=cast.technician,
                due_on=TODAY + timedelta(days=n - 10),
            )
        browser = signed_in(user)
        with django_assert_num_queries(QUERIES - 1):
            assert browser.get(DUE).status_code == 200
