"""The demo signs anyone in with one click, and exists nowhere else."""

import subprocess
import sys
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client, RequestFactory
from django.urls import NoReverseMatch, include, path, reverse

from reports.demo.services.demo import demo_user, is_demo_database, make_demo_people
from reports.demo.views import sign_in
from sites.kernel.access import roles_of
from sites.kernel.engines.roles import Role
from sites.models import User
from sites.project import urls as product
from tests import make
from tests.architecture.source import CHECKOUT
from tests.web.fern_row import FernRow, make_fern_row
from tests.web.pages import Sheet

urlpatterns = [*product.urlpatterns, path("demo/", include("reports.demo.urls"))]
handler403 = product.handler403

pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]

CLICK = "/demo/sign-in/"


@pytest.fixture
def demo(settings: Any, fern: FernRow) -> FernRow:
    """A demo of two properties, of which outsiders see the first alone."""
    settings.DEMO = True
    make_fern_row(code="Gorse End")
    make_demo_people()
    return fern


def click(role: str, **more: str) -> Sheet:
    """Click the button of a role and go where it leads."""
    return Sheet(Client().post(CLICK, {"role": role, **more}, follow=True))


def test_offers_every_role_and_no_password(demo: FernRow, client: Client) -> None:
    sheet = Sheet(client.get("/", follow=True))
    buttons = sheet.tree.find("button", name="role")
    assert {each.attributes["value"] for each in buttons} == set(Role)
    assert not sheet.tree.find("input", type="password")
    assert "every name and number here is invented" in sheet.words


@pytest.mark.parametrize("role", list(Role))
def test_one_click_signs_in_as_that_role(demo: FernRow, role: Role) -> None:
    user = click(role).response.wsgi_request.user
    assert roles_of(user) == {role}
    assert not user.is_superuser


def test_each_lands_where_the_work_starts(demo: FernRow) -> None:
    assert click("water manager").heading == "10 of 14 stations are off central control"
    # The bare address is where signing in came from, no page that was asked for.
    assert click("dispatcher", next="/").heading == "Moves"
    assert click("technician").heading == "Job sheets"


@pytest.mark.parametrize("role", ["client", "subcontracted tracer"])
def test_outsiders_see_one_property_alone(demo: FernRow, role: str) -> None:
    words = click(role, next="/properties/").words
    assert "Fern Row" in words
    assert "Gorse End" not in words


def test_leads_on_to_the_page_that_asked_for_it(demo: FernRow) -> None:
    sheet = click("owner", next="/stations/?q=lawn")
    assert sheet.response.redirect_chain == [("/stations/?q=lawn", 302)]


@pytest.mark.parametrize("away", ["https://elsewhere.example/", "//elsewhere.example/", ""])
def test_never_leads_to_another_site(demo: FernRow, away: str) -> None:
    chain = click("owner", next=away).response.redirect_chain
    assert chain == [("/start/", 302), ("/hotspots/", 302)]


@pytest.mark.parametrize("role", ["", "administrator", "demo-owner"])
def test_a_role_that_there_is_not_is_refused(demo: FernRow, role: str) -> None:
    sheet = click(role)
    assert sheet.status == 403
    assert not sheet.response.wsgi_request.user.is_authenticated


def test_a_link_cannot_sign_anybody_in(demo: FernRow, client: Client) -> None:
    assert client.get(CLICK).status_code == 405


def test_a_form_from_another_site_cannot_sign_anybody_in(demo: FernRow) -> None:
    assert Client(enforce_csrf_checks=True).post(CLICK, {"role": "owner"}).status_code == 403


def test_its_people_have_no_password_to_sign_in_with(demo: FernRow) -> None:
    people = User.objects.filter(username__startswith="demo-")
    assert people.count() == len(Role)
    assert not any(user.has_usable_password() for user in people)


def test_making_its_people_twice_makes_nobody_twice(demo: FernRow) -> None:
    make_demo_people()
    assert User.objects.filter(username__startswith="demo-").count() == len(Role)
    assert sum(user.grants.count() for user in User.objects.all()) == len(Role)


def test_outside_the_demo_the_button_refuses_even_where_its_address_exists(
    demo: FernRow, settings: Any
) -> None:
    settings.DEMO = False
    sheet = click("owner")
    assert sheet.status == 403
    assert not sheet.response.wsgi_request.user.is_authenticated


def test_outside_the_demo_the_view_refuses_when_called_directly(
    demo: FernRow, settings: Any
) -> None:
    settings.DEMO = False
    request = RequestFactory().post(CLICK, {"role": "owner"})
    with pytest.raises(PermissionDenied):
        sign_in(request)
    with pytest.raises(PermissionDenied):
        demo_user("owner")


@pytest.mark.urls("sites.project.urls")
def test_outside_the_demo_there_is_no_such_address(client: Client) -> None:
    assert client.post(CLICK, {"role": "owner"}).status_code == 404
    with pytest.raises(NoReverseMatch):
        reverse("demo:sign_in")
    assert Sheet(client.get("/account/sign-in/")).tree.find("input", type="password")


@pytest.mark.parametrize(("demo_on", "found"), [("1", "True"), ("0", "False")])
def test_the_address_exists_exactly_where_the_demo_was_started(
    tmp_path: Any, demo_on: str, found: str
) -> None:
    ask = (
        "import django; django.setup(); from django.urls import is_valid_path; "
        "print(bool(is_valid_path('/demo/sign-in/')))"
    )
    answer = subprocess.run(
        [sys.executable, "-c", ask],
        cwd=CHECKOUT,
        env={
            "DJANGO_SETTINGS_MODULE": "sites.project.settings",
            "REJOIN_DEMO": demo_on,
            "REJOIN_STATE": str(tmp_path),
        },
        capture_output=True,
        text=True,
        check=True,
    )
    assert answer.stdout.strip() == found


def test_a_register_of_ones_own_is_never_taken_for_the_demos() -> None:
    assert is_demo_database()
    make.place()
    assert not is_demo_database()
    make_demo_people()
    assert is_demo_database()
