"""The page of people, and the link by which an invited person comes in."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.test import Client

from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make
from tests.cast import Cast
from tests.web.pages import Sheet, open_page, send, signed_in

pytestmark = pytest.mark.django_db
INVITE = "/people/invite/"
PASSWORD = "eleven wet hedges"
NEW = {"new_password1": PASSWORD, "new_password2": PASSWORD}


@pytest.fixture
def owner(db: None) -> User:
    """An owner of everything."""
    return make.user(Role.OWNER, username="olive", password="seven dry lawns")


def invite(owner: User, **given: Any) -> Sheet:
    """Send the form of an invitation."""
    fields = {"email": "Quinn@Example.org", "language": "en", "given": "technician", **given}
    return send(owner, INVITE, **fields)


def link() -> str:
    """Return the address in the newest mail, without its host."""
    (found,) = re.findall(r"https?://[^/\s]+(/account/invited/\S+)", mail.outbox[-1].body)
    return str(found)


def test_invited_comes_in_by_the_link_and_only_once(owner: User) -> None:
    sheet = invite(owner, first_name="Quinn")
    assert sheet.heading == "Quinn"
    assert "invited, not in yet" in sheet.words
    address, browser = link(), Client()
    assert Sheet(browser.get(address)).heading == "Choose a password"
    browser.post(address, NEW)
    given = {"username": "quinn@example.org", "password": PASSWORD}
    assert browser.post("/account/sign-in/", given).headers["Location"] == "/start/"
    assert Sheet(browser.get(address)).heading == "This invitation holds no longer"
    answer = browser.post(address, {"new_password1": "x" * 14, "new_password2": "x" * 14})
    assert "holds no longer" in answer.content.decode()
    assert User.objects.get(email="quinn@example.org").check_password(PASSWORD)


def test_a_weak_password_is_refused(owner: User) -> None:
    invite(owner)
    answer = Client().post(link(), {"new_password1": "short", "new_password2": "short"})
    assert answer.status_code == 422
    assert not User.objects.get(email="quinn@example.org").has_usable_password()


@pytest.mark.parametrize(
    ("after", "heading"),
    [
        (timedelta(days=7, seconds=-1), "Choose a password"),
        (timedelta(days=7, seconds=1), "This invitation holds no longer"),
    ],
)
def test_the_link_holds_for_a_week(owner: User, after: timedelta, heading: str) -> None:
    start = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    with time_machine.travel(start, tick=False):
        invite(owner)
    with time_machine.travel(start + after, tick=False):
        assert Sheet(Client().get(link())).heading == heading


def test_a_second_invitation_makes_the_first_link_useless(owner: User) -> None:
    invite(owner)
    first, user = link(), User.objects.get(email="quinn@example.org")
    sheet = send(owner, f"/people/{user.pk}/invite-again/")
    assert sheet.messages == ["A new invitation is sent."]
    assert Sheet(Client().get(first)).heading == "This invitation holds no longer"
    assert Sheet(Client().get(link())).heading == "Choose a password"


def test_an_ended_access_makes_the_link_useless(owner: User) -> None:
    invite(owner)
    user = User.objects.get(email="quinn@example.org")
    send(owner, f"/people/{user.pk}/end/")
    assert Sheet(Client().get(link())).heading == "This invitation holds no longer"


@pytest.mark.parametrize("token", ["x", "1-abc", "1-abc.xyz.q", "9999999-0.1.2"])
def test_a_false_link_tells_nothing(owner: User, token: str) -> None:
    sheet = Sheet(Client().get(f"/account/invited/{token}/"))
    assert sheet.heading == "This invitation holds no longer"


def test_the_mail_speaks_the_language_of_the_person(owner: User) -> None:
    invite(owner, language="es")
    assert "contraseña" in mail.outbox[0].body
    assert "Rejoin" in mail.outbox[0].subject


def test_an_address_cannot_add_a_line_to_the_mail(owner: User) -> None:
    owner.first_name = "Olive\nBcc: all@example.org"
    owner.save()
    invite(owner)
    assert "\n" not in mail.outbox[0].subject


def test_what_was_typed_stays_when_it_is_refused(owner: User) -> None:
    sheet = invite(owner, given="client", first_name="Quinn")
    assert sheet.status == 422
    assert sheet.errors == ["A client or a tracer sees one client or one property only. Choose it."]
    assert sheet.value("email") == "Quinn@Example.org"
    assert mail.outbox == []


def test_an_ended_person_is_out_at_once(owner: User) -> None:
    user = make.user(Role.DISPATCHER, first_name="Dora")
    browser = signed_in(user)
    assert browser.get("/moves/").status_code == 200
    sheet = send(owner, f"/people/{user.pk}/end/")
    assert sheet.messages == ["The access has ended. They can be let in again."]
    assert browser.get("/moves/").status_code == 302
    send(owner, f"/people/{user.pk}/let-in/")
    assert signed_in(User.objects.get(pk=user.pk)).get("/moves/").status_code == 200


def test_a_role_is_given_and_taken(owner: User) -> None:
    user = make.user(Role.DISPATCHER)
    sheet = send(owner, f"/people/{user.pk}/give/", given="water manager")
    assert "Water manager: every property" in sheet.words
    taken = sheet.links["Take away"]
    assert "Take this role" in open_page(owner, taken).heading
    assert send(owner, taken).messages == ["The role is taken away. It can be given again."]
    assert user.grants.count() == 1


def test_ones_own_page_offers_nothing_to_change(owner: User) -> None:
    sheet = open_page(owner, f"/people/{owner.pk}/")
    assert "This is you" in sheet.words
    assert not {"Give a role", "End the access", "Take away"} & set(sheet.links)
    refused = send(owner, f"/people/{owner.pk}/give/", given="dispatcher")
    assert refused.status == 422
    assert "Nobody changes their own" in refused.words


@pytest.mark.parametrize("person", ["water_manager", "dispatcher", "technician", "client_user"])
def test_the_office_makes_no_owner(cast: Cast, person: str) -> None:
    user = getattr(cast, person)
    fields = {"email": "q@example.org", "language": "en", "given": "owner"}
    assert send(user, INVITE, **fields).status == 403
    assert send(user, f"/people/{user.pk}/give/", given="owner").status == 403
    assert not User.objects.filter(email="q@example.org").exists()
    assert user.grants.count() == 1


def test_a_limited_owner_is_offered_and_shown_the_own_part_alone(cast: Cast) -> None:
    ours = cast.client_user.grants.get().client
    assert ours is not None
    limited = make.user(Role.OWNER, client=ours)
    assert "clara" in open_page(limited, "/people/").words
    assert "otto" not in open_page(limited, "/people/").words
    form = open_page(limited, INVITE).tree
    (select,) = form.find("select", name="client")
    assert [each.words for each in select.find("option")] == ["", str(ours)]
    assert open_page(limited, f"/people/{cast.outsider.pk}/").status == 404
    assert send(limited, INVITE, email="q@example.org", language="en", given="owner").status == 422


def test_the_list_says_who_when_and_what(owner: User) -> None:
    place = make.place(code="Alder")
    make.user(Role.TRACER, first_name="Trace", property=place)
    make.user(first_name="Nobody", is_active=False)
    rows = {row[0]: row[1:] for row in open_page(owner, "/people/").rows()}
    assert rows["Trace"][0] == "subcontracted tracer (Alder)"
    assert rows["Nobody"][0] == "no role: sees nothing"
    assert rows["Nobody"][2] == "ended"
    assert rows["olive"][2] != "never"


@pytest.mark.parametrize("times", [3, 30])
def test_asks_as_often_for_few_as_for_many(
    owner: User, times: int, django_assert_max_num_queries: Any
) -> None:
    for _ in range(times):
        make.user(Role.CLIENT, client=make.client())
    browser = signed_in(owner)
    browser.get("/people/")
    with django_assert_max_num_queries(9):
        browser.get("/people/")


def test_the_table_of_roles_is_read_aloud(owner: User) -> None:
    rows = {row[0]: row[1:] for row in open_page(owner, "/people/roles/").rows()}
    assert rows["manage people and their roles"] == ["yes", *["–no"] * 5]
