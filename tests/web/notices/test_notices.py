"""Pages of notices: give one, type in what is printed, enter answers, see on which days to dig."""

from datetime import date
from typing import Any

import pytest
from django.urls import reverse

from faults.models import DigOverride, Notice, NoticeRule
from tests import make, make_notices
from tests.cast import Cast, Corner
from tests.web.fault_scene import fault_page
from tests.web.pages import open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture(autouse=True)
def ohio(ours: Corner) -> None:
    """Our property lies in Ohio, whose rule is confirmed."""
    make_notices.rule(region="Ohio")
    ours.property.notice_region = "Ohio"
    ours.property.save()


def notice_url(one: Notice, verb: str = "") -> str:
    """The page of a notice, or of a verb on it."""
    return reverse(f"faults:notice{'_' + verb if verb else ''}", args=[one.ref])


def give(cast: Cast, ours: Corner, **given: Any) -> Any:
    """Give a notice for our fault as the technician."""
    fields = {
        "ticket": "A-1",
        "given_at": "2025-06-13T10:00",
        "proposed_start_on": "2025-06-17",
        "operators": "Gas\nPower",
        **given,
    }
    return send(cast.technician, reverse("faults:notice_give", args=[ours.fault.ref]), **fields)


def test_a_notice_is_given_from_the_fault_and_says_what_holds_it_back(
    cast: Cast, ours: Corner
) -> None:
    assert "Give a notice" in fault_page(cast.technician, ours.fault).links
    sheet = give(cast, ours)
    assert sheet.heading == "Ticket A-1"
    assert "No digging today: the utilities have until 2025-06-18 07:00 to mark." in sheet.words
    assert "Not answered yet: Gas, Power. Call them." in sheet.panel("why")
    assert "by the rule" in sheet.facts()["Work may start"]
    assert "call 811" in sheet.words
    assert "usually not marked" in sheet.panel("marks")


def renewal_of(cast: Cast, ours: Corner, *, before: int, last: date) -> str | None:
    """Return what the page says about renewing a ticket with this printed last day."""
    NoticeRule.objects.update(renew_before_n=before)
    days = {"printed_start_on": date(2025, 6, 4), "printed_expiry_on": last}
    one = make_notices.notice("Gas", fault=ours.fault, **days)
    return open_page(cast.technician, notice_url(one)).facts().get("Renew by")


# Today is Sunday 15 June 2025.
def test_a_page_says_by_when_to_renew(cast: Cast, ours: Corner) -> None:
    words = renewal_of(cast, ours, before=2, last=date(2025, 6, 20))
    assert words == "2025-06-18 by the rule, so that digging may go on without a gap"
    assert renewal_of(cast, ours, before=0, last=date(2025, 6, 20)) is None


@pytest.mark.parametrize(
    ("last", "renewed_by", "is_past"),
    [(date(2025, 6, 16), "2025-06-13", True), (date(2025, 6, 17), "2025-06-16", False)],
)
def test_a_day_to_renew_that_has_passed_is_marked(
    cast: Cast, ours: Corner, last: date, renewed_by: str, is_past: bool
) -> None:
    words = renewal_of(cast, ours, before=1, last=last) or ""
    assert words.startswith(renewed_by)
    assert ("this day has passed: ask the centre today" in words) is is_past


def test_a_day_to_renew_that_is_today_is_not_past(cast: Cast, ours: Corner) -> None:
    NoticeRule.objects.update(closed_day_starts_next=False)
    words = renewal_of(cast, ours, before=1, last=date(2025, 6, 16)) or ""
    assert words.startswith("2025-06-15")
    assert "passed" not in words


def test_a_ticket_that_was_cancelled_is_not_to_be_renewed(cast: Cast, ours: Corner) -> None:
    NoticeRule.objects.update(renew_before_n=2)
    one = make_notices.notice("Gas", fault=ours.fault, cancelled_on=date(2025, 6, 14))
    facts = open_page(cast.technician, notice_url(one)).facts()
    assert "Last day" in facts
    assert "Renew by" not in facts


def test_a_refused_ticket_keeps_what_was_typed(cast: Cast, ours: Corner) -> None:
    sheet = give(cast, ours, proposed_start_on="2025-06-01", area="north lawn")
    assert sheet.status == 422
    assert sheet.value("area") == "north lawn"
    assert "the day on which the notice was given" in sheet.errors[0]


def test_the_hour_of_a_notice_is_read_on_the_propertys_clock(cast: Cast, ours: Corner) -> None:
    ours.property.time_zone = "America/Denver"
    ours.property.save()
    sheet = give(cast, ours)
    assert Notice.objects.get().given_at.isoformat() == "2025-06-13T16:00:00+00:00"
    assert sheet.facts()["Given"] == "2025-06-13 10:00"
    form = open_page(cast.technician, notice_url(Notice.objects.get(), "change"))
    assert form.value("given_at") == "2025-06-13T10:00"


def test_answers_and_printed_days_let_a_dig_go(cast: Cast, ours: Corner) -> None:
    give(cast, ours)
    one = Notice.objects.get()
    fields: dict[str, Any] = {}
    for row in one.operators.all():
        fields |= {
            f"row{row.pk}_operator": row.operator,
            f"row{row.pk}_state": "marked",
            f"row{row.pk}_answered_on": "2025-06-14",
        }
    sheet = send(cast.dispatcher, notice_url(one, "answers"), **fields)
    assert sheet.column(1, "operators") == ["marked", "marked"]
    printed = {
        "ticket": "A-1",
        "given_at": "2025-06-13T10:00",
        "proposed_start_on": "2025-06-17",
        "printed_start_on": "2025-06-15",
        "printed_expiry_on": "2025-06-20",
    }
    sheet = send(cast.dispatcher, notice_url(one, "change"), **printed)
    assert "Digging is allowed today, and until the end of 2025-06-20." in sheet.words
    cells = [cell for row in sheet.rows("days") for cell in row]
    assert "06-15 dig" in cells
    assert "06-21 ran out" in cells


def test_an_answer_without_its_day_comes_back_with_what_was_typed(cast: Cast, ours: Corner) -> None:
    one = make_notices.notice("Gas", fault=ours.fault, states={"Gas": "waiting"})
    row = one.operators.get()
    fields = {f"row{row.pk}_operator": "Gas", f"row{row.pk}_state": "marked"}
    sheet = send(cast.technician, notice_url(one, "answers"), **fields)
    assert sheet.status == 422
    assert sheet.value(f"row{row.pk}_state") == "marked"
    assert "On which day did Gas answer?" in sheet.words


def test_a_notice_is_cancelled_and_brought_back(cast: Cast, ours: Corner) -> None:
    one = make_notices.notice("Gas", fault=ours.fault)
    sheet = send(cast.dispatcher, notice_url(one, "cancel"), on="2025-06-15", why="no dig")
    assert "No digging: this notice was cancelled on 2025-06-15." in sheet.words
    sheet = send(cast.dispatcher, notice_url(one, "cancel"), why="a dig after all")
    assert sheet.messages == ["It holds again."]


def test_somebody_elses_change_is_told_and_nothing_is_overwritten(cast: Cast, ours: Corner) -> None:
    one = make_notices.notice("Gas", fault=ours.fault)
    form = open_page(cast.dispatcher, notice_url(one, "cancel"))
    one.area = "the other lawn"
    one.save()
    stamp = form.tree.find("input", name="stamp")[0].attributes["value"]
    sheet = send(
        cast.dispatcher, notice_url(one, "cancel"), on="2025-06-15", why="no dig", stamp=stamp
    )
    assert sheet.status == 422
    one.refresh_from_db()
    assert one.cancelled_on is None


def test_the_list_says_in_a_sentence_how_each_stands_and_filters(cast: Cast, ours: Corner) -> None:
    make_notices.notice(
        "Gas",
        fault=ours.fault,
        ticket="WAITS",
        given_at=make.NOW,
        proposed_start_on=date(2025, 6, 17),
        states={"Gas": "waiting"},
    )
    make_notices.notice("Gas", property=ours.property, ticket="OLD")
    make_notices.notice(property=ours.property, ticket="GONE", cancelled_on=date(2025, 6, 3))
    url = reverse("faults:notices")
    said = {row[0]: row[-1] for row in open_page(cast.dispatcher, url).rows()}
    assert said["WAITS"].startswith("No digging today: the utilities have until")
    assert (
        said["OLD"]
        == "No digging today: the ticket ran out after 2025-06-12. Stop, and give a new notice."
    )
    assert said["GONE"] == "cancelled 2025-06-03"
    for state, tickets in (
        ("standing", {"WAITS", "OLD"}),
        ("unsettled", {"WAITS"}),
        ("unprinted", {"WAITS", "OLD"}),
        ("cancelled", {"GONE"}),
    ):
        found = open_page(cast.dispatcher, f"{url}?state={state}").column(0)
        assert set(found) == tickets, state
    assert open_page(cast.dispatcher, f"{url}?q=wai").column(0) == ["WAITS"]
    by_property = open_page(cast.dispatcher, f"{url}?sort=ticket").column(0)
    assert by_property == ["GONE", "OLD", "WAITS"]


def test_the_list_is_exported_with_its_sentences(cast: Cast, ours: Corner) -> None:
    make_notices.notice("Gas", fault=ours.fault, ticket="OLD")
    answer = signed_in(cast.owner).get(reverse("faults:notices") + "?export=csv")
    text = b"".join(answer.streaming_content).decode()
    assert "OLD" in text
    assert "ran out after 2025-06-12" in text


def test_the_owner_lets_a_dig_go_and_takes_it_back(cast: Cast, ours: Corner) -> None:
    job = make_notices.dig(fault=ours.fault)
    one = make_notices.notice("Gas", fault=ours.fault, states={"Gas": "waiting"})
    url = reverse("faults:dig_override", args=[job.ref])
    assert "Not answered yet: Gas" in open_page(cast.owner, url).words
    assert send(cast.owner, url, reason="the city spoke").status == 422
    assert not DigOverride.objects.exists()
    send(cast.owner, url, reason="the city spoke", is_understood="on")
    page = open_page(cast.dispatcher, notice_url(one))
    assert "olive let dig and mend marigold-park go on: the city spoke" in page.panel("digs")
    assert "Take it back" not in page.panel("digs")
    back = reverse("faults:dig_override_back", args=[job.ref])
    sheet = send(cast.owner, back)
    assert "The notice holds the dig back again" in sheet.words
    assert "taken back 2025-06-15" in open_page(cast.owner, notice_url(one)).panel("digs")


def test_a_notice_for_the_whole_property_is_offered_on_its_page(cast: Cast, ours: Corner) -> None:
    url = reverse("faults:notice_give_here", args=[ours.property.ref])
    place = open_page(cast.technician, reverse("reports:property", args=[ours.property.ref]))
    assert place.links["Give a notice"] == url
    sheet = send(
        cast.technician,
        url,
        ticket="B-2",
        given_at="2025-06-13T10:00",
        proposed_start_on="2025-06-17",
        operators="",
    )
    assert "Nobody is listed" in sheet.panel("operators")
    assert Notice.objects.get().fault is None


def test_a_client_sees_neither_notices_nor_questions_of_a_fault(cast: Cast, ours: Corner) -> None:
    make_notices.notice("Gas", fault=ours.fault, ticket="SECRET")
    make_notices.asked(fault=ours.fault, what="secret question")
    page = fault_page(cast.client_user, ours.fault)
    assert {"notices", "questions"} & set(page.panels) == set()
    assert "secret" not in page.words.lower()
    assert "SECRET" in fault_page(cast.dispatcher, ours.fault).panel("notices")
