"""The pages of reconciling: bring a list, settle each difference by one click, take it back."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from sites.kernel.engines.roles import Role
from sites.models import CentralList, Decision, Station, User
from tests import make
from tests.cast import OURS, Cast, Corner
from tests.web.fern_row import FernRow
from tests.web.pages import HTMX, Sheet, open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

HEADING = "property code,controller,station number,enabled"
# A:1 is on a timer here; A:3 is on; A:9 is not registered; A:4 is left out.
ROWS = ["A,1,yes", "A,2,no", "A,3,no", "A,7,no", "A,9,yes", "B,1,yes", "B,2,yes"]


def bring(user: User, *rows: str, place: str = "") -> Sheet:
    """Bring a list of Fern Row."""
    text = "\n".join([HEADING, *(f"Fern Row,{row}" for row in rows)])
    file = SimpleUploadedFile("central.csv", text.encode())
    return send(user, "/reconcile/", brought=file, place=place)


def decide(user: User, row: str, difference: str, decided: str, **more: Any) -> Sheet:
    """Send one of the forms beside a difference."""
    place = Station.objects.order_by("pk").first().controller.property  # type: ignore[union-attr]
    controller, _colon, number = row.partition(":")
    central = CentralList.objects.get()
    return send(
        user,
        f"/reconcile/{central.ref}/decide/",
        place=place.ref,
        controller=controller,
        number=number,
        difference=difference,
        decided=decided,
        **more,
    )


def test_a_list_leads_to_its_differences_by_kind(fern: FernRow, manager: User) -> None:
    sheet = bring(manager, *ROWS)
    assert sheet.heading == "4 differences between central and the register"
    headings = [each.words for each in sheet.tree.find("h2")]
    assert headings == [
        "Enabled in central, off here: 1",
        "Disabled in central, on here: 1",
        "In central, not in the register: 1",
        "In the register, not in central: 1",
    ]


def test_each_difference_is_one_click_from_being_put_right(fern: FernRow, manager: User) -> None:
    sheet = bring(manager, *ROWS)
    buttons = [each.words for each in sheet.tree.find("button", name="decided")]
    assert buttons == [
        "End the stopgap", "Disable it there", "Count it off from today", "Enable it there",
        "Add the station", "Not ours", "Add it there", "Not meant to be there",
    ]  # fmt: skip


def test_the_form_for_fitting_a_stopgap_knows_the_station(fern: FernRow, manager: User) -> None:
    sheet = bring(manager, *ROWS)
    url = sheet.links["Fit a stopgap…"]
    assert open_page(manager, url).value("stations") == "A:3"


def test_what_is_settled_says_so_and_can_be_taken_back(fern: FernRow, manager: User) -> None:
    bring(manager, *ROWS)
    sheet = decide(manager, "A:3", "off there, on here", "held")
    assert sheet.messages == ["A:3: counted off here."]
    assert fern["A:3"].stopgaps.get().first_seen_on == make.TODAY
    central = CentralList.objects.get()
    number = str(Decision.objects.get().pk)
    sheet = send(manager, f"/reconcile/{central.ref}/take-back/", decision=number)
    assert sheet.messages == ["A:3 is asked about again."]
    assert not fern["A:3"].spell_parts.exists()


def test_ending_takes_the_day_that_was_given(fern: FernRow, manager: User) -> None:
    bring(manager, *ROWS)
    decide(manager, "A:1", "on there, off here", "ended", on="2025-06-01")
    assert str(fern["A:1"].stopgaps.get().removed_on) == "2025-06-01"


def test_a_refusal_is_told_in_words(fern: FernRow, manager: User) -> None:
    bring(manager, *ROWS)
    sheet = decide(manager, "A:1", "on there, off here", "ended", on="2025-07-01")
    assert "has not come yet" in sheet.messages[0]


def test_what_is_to_be_done_there_is_listed(fern: FernRow, manager: User) -> None:
    bring(manager, *ROWS)
    sheet = decide(manager, "A:4", "unknown there", "add there")
    assert "A:4 Fern Row to be added in central" in sheet.panel("to-do")


def test_all_of_one_controller_can_be_settled_at_once(fern: FernRow, manager: User) -> None:
    bring(manager, "A,1,no")
    sheet = decide(manager, "A", "unknown there", "not meant there")
    assert sheet.messages == ["4 stations: not meant to be there."]
    assert {each.number for each in Decision.objects.all()} == {2, 3, 4, 7}


def test_the_second_who_clicks_is_told_that_it_is_done(fern: FernRow, manager: User) -> None:
    bring(manager, *ROWS)
    decide(manager, "A:3", "off there, on here", "held")
    sheet = decide(manager, "A:3", "off there, on here", "held")
    assert "meanwhile" in sheet.messages[0]


def test_htmx_gets_the_differences_alone_with_what_was_done(fern: FernRow, manager: User) -> None:
    bring(manager, *ROWS)
    central = CentralList.objects.get()
    fields = {
        "place": fern.property.ref, "controller": "A", "number": "9",
        "difference": "unknown here", "decided": "added",
    }  # fmt: skip
    url = f"/reconcile/{central.ref}/decide/"
    sheet = Sheet(signed_in(manager).post(url, fields, headers=HTMX))
    assert (sheet.status, sheet.messages) == (200, ["A:9: added here."])
    assert "<html" not in sheet.html


def test_agreement_is_said_as_such(fern: FernRow, manager: User) -> None:
    rows = ["A,1,no", "A,2,no", "A,3,yes", "A,4,yes", "A,7,no", "B,1,yes", "B,2,no"]
    assert bring(manager, *rows).heading == "Central and the register agree"


def test_rows_that_cannot_be_read_are_listed_and_nothing_is_kept(
    fern: FernRow, manager: User
) -> None:
    sheet = bring(manager, "A,one,yes", "A,2,perhaps")
    assert sheet.status == 422
    assert [row[0] for row in sheet.rows("problems")] == ["2", "3"]
    assert not CentralList.objects.exists()


def test_a_form_without_a_file_is_refused(manager: User) -> None:
    sheet = send(manager, "/reconcile/")
    assert (sheet.status, sheet.errors) == (422, ["Choose the file with the list."])


def test_a_property_of_others_cannot_be_chosen(cast: Cast, theirs: Corner, ours: Corner) -> None:
    limited = make.user(Role.DISPATCHER, property=ours.property)
    assert bring(limited, "A,1,yes", place=theirs.property.ref).status == 422


@pytest.mark.parametrize("fields", [{}, {"decided": "explode"}, {"number": "x"}])
def test_a_form_made_by_hand_is_refused(
    fern: FernRow, manager: User, fields: dict[str, str]
) -> None:
    bring(manager, *ROWS)
    url = f"/reconcile/{CentralList.objects.get().ref}/decide/"
    assert send(manager, url, **fields).status == 400


def test_nobody_settles_what_belongs_to_others(cast: Cast, ours: Corner, theirs: Corner) -> None:
    limited = make.user(Role.DISPATCHER, property=theirs.property)
    central = CentralList.objects.create(property=ours.property, filename="x", at=make.NOW)
    assert open_page(limited, f"/reconcile/{central.ref}/").status == 404
    assert open_page(cast.technician, f"/reconcile/{central.ref}/").status == 403
    assert open_page(cast.owner, f"/reconcile/{central.ref}/").status == 200


def test_a_decision_of_others_cannot_be_taken_back(
    cast: Cast, ours: Corner, theirs: Corner
) -> None:
    limited = make.user(Role.DISPATCHER, property=theirs.property)
    central = CentralList.objects.create(property=theirs.property, filename="x", at=make.NOW)
    decision = Decision.objects.create(
        property=ours.property, controller_name="A", number=1, difference="unknown here",
        decided="not ours", at=make.NOW,
    )  # fmt: skip
    url = f"/reconcile/{central.ref}/take-back/"
    assert send(limited, url, decision=str(decision.pk)).status == 404
    assert Decision.objects.exists()


def test_a_shared_list_shows_each_only_their_own(cast: Cast, ours: Corner, theirs: Corner) -> None:
    limited = make.user(Role.DISPATCHER, property=theirs.property)
    text = f"{HEADING}\n{OURS}-park,{OURS} clock,1,yes\n"
    sheet = send(limited, "/reconcile/", brought=SimpleUploadedFile("x.csv", text.encode()))
    assert f"{OURS}-park (1)" in sheet.words
    assert f"{OURS} lawn" not in sheet.words


@pytest.mark.parametrize("stations", [3, 30])
def test_asks_as_often_for_few_differences_as_for_many(
    manager: User, stations: int, django_assert_max_num_queries: Any
) -> None:
    clock = make.controller(property=make.place(code="Fern Row"), name="A")
    for number in range(1, stations + 1):
        make.station(controller=clock, number=number)
    bring(manager, *(f"A,{number},no" for number in range(1, stations + 1)))
    browser = signed_in(manager)
    with django_assert_max_num_queries(14):
        browser.get(f"/reconcile/{CentralList.objects.get().ref}/")
