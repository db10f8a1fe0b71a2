"""Whoever's ways to sign in have changed is told by mail, in their own language."""

import pytest
import time_machine
from django.core import mail
from django.urls import reverse

from sites.models import User
from sites.people.services.second_factor import make_recovery_codes, remove_factor, reset_factor
from tests import make, make_doors
from tests.cast import Cast
from tests.web.pages import send, signed_in

pytestmark = pytest.mark.django_db(transaction=True)
OLD, NEW = "seven dry lawns", "eleven wet hedges"


@pytest.fixture
def walter() -> User:
    """A user with a password and a mail address."""
    user = make.user(username="walter", email="walter@example.org", first_name="Walter")
    user.set_password(OLD)
    user.save()
    return user


def change_password(user: User) -> None:
    """Change it by the form."""
    fields = {"old_password": OLD, "new_password1": NEW, "new_password2": NEW}
    send(user, reverse("sites:password_change"), **fields)


def test_a_changed_password_is_told_with_its_time_and_without_a_link(walter: User) -> None:
    walter.time_zone = "America/Denver"
    walter.save()
    with time_machine.travel(make.NOW, tick=False):
        change_password(walter)
    (letter,) = mail.outbox
    assert letter.to == ["walter@example.org"]
    assert letter.subject == "Rejoin: the way you sign in has changed"
    assert "Your password was changed. It was at 2025-06-15" in letter.body
    assert "MDT" in letter.body
    assert "http" not in letter.body
    assert NEW not in letter.body


def test_it_is_told_in_their_language(walter: User) -> None:
    walter.language = "es"
    walter.save()
    change_password(walter)
    (letter,) = mail.outbox
    assert "Su contraseña se cambió." in letter.body


def test_a_wrong_old_password_tells_nobody(walter: User) -> None:
    fields = {"old_password": "wrong", "new_password1": NEW, "new_password2": NEW}
    assert send(walter, reverse("sites:password_change"), **fields).status == 200
    assert mail.outbox == []


def test_the_page_that_confirms_changes_and_tells_nothing_when_it_is_opened(walter: User) -> None:
    here, elsewhere = signed_in(walter), signed_in(walter)
    here.get(reverse("sites:password_changed"))
    assert mail.outbox == []
    assert elsewhere.get(reverse("sites:account")).status_code == 200


def test_another_address_is_told_to_the_old_one_and_the_new_one(walter: User) -> None:
    url = reverse("sites:account")
    fields = {"first_name": "W", "time_zone": "UTC", "language": "en"}
    send(walter, url, email="walter@example.org", **fields)
    assert mail.outbox == []
    send(walter, url, email="new@example.org", **fields)
    told = sorted(each.to[0] for each in mail.outbox)
    assert told == ["new@example.org", "walter@example.org"]
    assert {"e-mail address of your account" in each.body for each in mail.outbox} == {True}


def test_a_second_factor_is_told_of_when_it_comes_when_codes_are_new_and_when_it_goes(
    cast: Cast,
) -> None:
    person = cast.technician
    person.email = "tessa@example.org"
    person.save()
    make_doors.factor(person, at=make.NOW)
    assert ["second factor was set up" in each.body for each in mail.outbox] == [True]
    make_recovery_codes(person, at=make.NOW)
    remove_factor(person)
    words = [each.body for each in mail.outbox[1:]]
    assert ["New recovery codes" in words[0], "factor of your account was removed" in words[1]] == [
        True,
        True,
    ]
    make_doors.factor(person, at=make.NOW)
    mail.outbox.clear()
    reset_factor(by=cast.owner, user=person)
    assert [each.to for each in mail.outbox] == [["tessa@example.org"]]


def test_a_mail_that_cannot_be_sent_stops_no_change(
    walter: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_given: object, **_more: object) -> int:
        raise OSError("no mail today")

    monkeypatch.setattr("sites.people.services.telling.send_mail", refuse)
    change_password(walter)
    walter.refresh_from_db()
    assert walter.check_password(NEW)


def test_who_has_no_address_is_told_nothing(walter: User) -> None:
    walter.email = ""
    walter.save()
    change_password(walter)
    assert mail.outbox == []
