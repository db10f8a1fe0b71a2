"""One's own calendar link and daily mail, and what their secret addresses give away."""

import hashlib
from typing import Any

import pytest
from django.urls import reverse

from faults.due.services.unsubscribing import unsubscribe_url
from faults.models import CalendarLink, DigestChoice
from sites.models import User
from tests import make_due
from tests.cast import Cast, Corner
from tests.make import TODAY
from tests.web.pages import Sheet, open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

MINE = "/account/reminders/"


def made(user: User) -> str:
    """Make a link as this user and return the path that is shown."""
    sheet = send(user, reverse("faults:calendar_make"))
    (address,) = sheet.tree.find("input", id="address")
    return "/" + address.attributes["value"].split("/", 3)[3]


def read(path: str) -> Any:
    """Read the feed as a calendar program does: signed in as nobody."""
    return signed_in(None).get(path)


def test_a_link_is_made_shown_once_and_read(cast: Cast, ours: Corner) -> None:
    make_due.follow_up(property=ours.property, what="look again", due_on=TODAY)
    path = made(cast.technician)
    answer = read(path)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert b"look again" in answer.content
    assert path.split("/")[-1].removesuffix(".ics") not in open_page(cast.technician, MINE).html
    assert "It was last read" in open_page(cast.technician, MINE).words


def test_only_a_hash_is_kept(cast: Cast) -> None:
    secret = made(cast.technician).split("/")[-1].removesuffix(".ics")
    link = CalendarLink.objects.get()
    assert link.secret_hash == hashlib.sha256(secret.encode()).hexdigest()
    assert len(secret) >= 32
    kept = [str(getattr(link.history.get(), field.name)) for field in CalendarLink._meta.fields]
    assert all(secret not in value for value in kept)


def test_a_new_link_ends_the_old_one(cast: Cast) -> None:
    first, second = made(cast.owner), made(cast.owner)
    assert (read(first).status_code, read(second).status_code) == (404, 200)


def test_a_revoked_link_reads_nothing(cast: Cast) -> None:
    path = made(cast.owner)
    sheet = send(cast.owner, reverse("faults:calendar_revoke"))
    assert "Revoked" in sheet.messages[0]
    assert read(path).status_code == 404
    assert "no calendar link" in send(cast.owner, reverse("faults:calendar_revoke")).messages[0]


def test_a_link_that_nobody_made_looks_like_a_revoked_one(cast: Cast) -> None:
    assert read("/calendar/abcdefghijklmnopqrstuvwxyz.ics").status_code == 404


def test_access_is_worked_out_at_each_read(cast: Cast, ours: Corner) -> None:
    make_due.follow_up(property=ours.property, what="look again", due_on=TODAY)
    path = made(cast.technician)
    cast.technician.grants.all().delete()
    answer = read(path)
    assert (answer.status_code, b"VEVENT" in answer.content) == (200, False)
    User.objects.filter(pk=cast.technician.pk).update(is_active=False)
    assert read(path).status_code == 404


def test_who_reads_too_often_has_to_wait(cast: Cast) -> None:
    path = made(cast.owner)
    statuses = {read(path).status_code for _ in range(61)}
    assert statuses == {200, 429}


def test_the_daily_mail_is_chosen(cast: Cast) -> None:
    assert "Your settings are kept." in send(cast.owner, MINE, at_hour="9").messages
    choice = DigestChoice.objects.get(user=cast.owner)
    assert (choice.is_wanted, choice.at_hour) == (False, 9)
    sheet = send(cast.owner, MINE, at_hour="24", is_wanted="on")
    assert sheet.status == 422


def test_one_click_in_the_mail_ends_it_for_that_user_only(cast: Cast) -> None:
    path = "/" + unsubscribe_url(cast.owner.pk).split("/", 3)[3]
    asked = Sheet(signed_in(None).get(path))
    assert "End the daily mail?" in asked.words
    assert not DigestChoice.objects.exists()  # a program that opens every link ends nothing
    body = {"List-Unsubscribe": "One-Click"}
    answer = signed_in(None).post(path, body)
    assert answer.status_code == 200
    assert list(DigestChoice.objects.values_list("user", "is_wanted")) == [(cast.owner.pk, False)]


def test_a_mail_program_sends_no_key_with_its_click(cast: Cast) -> None:
    from django.test import Client

    path = "/" + unsubscribe_url(cast.owner.pk).split("/", 3)[3]
    strict = Client(enforce_csrf_checks=True)
    assert strict.post(path, {"List-Unsubscribe": "One-Click"}).status_code == 200
    assert strict.post("/unsubscribe/nonsense/").status_code == 404


def test_the_settings_page_leads_there_but_for_clients(cast: Cast) -> None:
    assert MINE in open_page(cast.technician, "/account/").links.values()
    assert MINE not in open_page(cast.client_user, "/account/").links.values()
