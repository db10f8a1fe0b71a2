"""Views are kept by name, for oneself, on the list where they belong."""

import pytest

from sites.kernel.engines.roles import Role
from sites.models import SavedView, User
from tests import make
from tests.web.fern_row import FernRow
from tests.web.pages import open_page, send, signed_in

pytestmark = pytest.mark.django_db
KEEP, FORGET = "/views/keep/", "/views/forget/"


def keep(user: User, name: str = "Wires", path: str = "/stations/", query: str = "q=lawn") -> None:
    """Send the form below a list."""
    send(user, KEEP, name=name, path=path, query=query)


def test_a_view_stands_above_its_list_and_leads_back_to_it(fern: FernRow, manager: User) -> None:
    keep(manager, query="q=A7&sort=-name&page=3&export=csv")
    assert open_page(manager, "/stations/").links["Wires"] == "/stations/?q=A7&sort=-name"


@pytest.mark.parametrize("path", ["/", "/properties/", "/controllers/", "/stopgaps/", "/faults/"])
def test_every_list_can_be_kept(fern: FernRow, manager: User, path: str) -> None:
    assert "Keep this view" in open_page(manager, path).words
    keep(manager, path=path)
    assert open_page(manager, path).links["Wires"] == f"{path}?q=lawn"


def test_the_form_carries_the_filter_that_is_shown(fern: FernRow, manager: User) -> None:
    assert open_page(manager, "/stations/?q=A7").value("query") == "q=A7"


def test_keeping_leads_back_to_the_list_as_it_was(fern: FernRow, manager: User) -> None:
    answer = signed_in(manager).post(KEEP, {"name": "x", "path": "/stations/", "query": "q=A7"})
    assert answer.headers["Location"] == "/stations/?q=A7"


def test_the_same_name_again_takes_the_place_of_the_first(fern: FernRow, manager: User) -> None:
    keep(manager)
    keep(manager, query="q=other")
    assert [view.query for view in SavedView.objects.all()] == ["q=other"]


def test_a_view_is_only_ones_own(fern: FernRow, manager: User) -> None:
    keep(manager)
    other = make.user(Role.OWNER)
    assert "Wires" not in open_page(other, "/stations/").links


def test_one_forgets_ones_own(fern: FernRow, manager: User) -> None:
    keep(manager)
    send(manager, FORGET, view=str(SavedView.objects.get().pk))
    assert not SavedView.objects.exists()


@pytest.mark.parametrize(
    ("number", "status"), [("0", 404), ("99999999", 404), ("", 400), ("x", 400), ("-1", 400)]
)
def test_forgetting_what_is_not_there_is_refused(manager: User, number: str, status: int) -> None:
    assert send(manager, FORGET, view=number).status == status


def test_nobody_forgets_anothers(fern: FernRow, manager: User) -> None:
    keep(manager)
    other = make.user(Role.OWNER)
    assert send(other, FORGET, view=str(SavedView.objects.get().pk)).status == 404
    assert SavedView.objects.count() == 1


@pytest.mark.parametrize(
    "path",
    ["//elsewhere.example/", "https://elsewhere.example/", "/no/such/page/", "", "x", "/admin/"],
)
def test_only_pages_of_this_site_can_be_kept(manager: User, path: str) -> None:
    answer = signed_in(manager).post(KEEP, {"name": "x", "path": path, "query": ""})
    assert not SavedView.objects.exists()
    assert answer.headers["Location"].startswith("/")
    assert not answer.headers["Location"].startswith("//")


def test_a_view_without_a_name_is_refused_in_words(fern: FernRow, manager: User) -> None:
    sheet = send(manager, KEEP, name="  ", path="/stations/", query="")
    assert sheet.messages == ["Give the view a name."]


def test_a_name_is_text_and_nothing_else(fern: FernRow, manager: User) -> None:
    keep(manager, name="<b>bold</b>")
    assert "<b>bold" not in open_page(manager, "/stations/").html
