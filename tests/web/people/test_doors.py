"""Signing in with a second factor, sign-ins ended elsewhere, and the log of it."""

from datetime import UTC, datetime, timedelta
from math import log2

import pytest
import time_machine
from django.db import IntegrityError, transaction
from django.test import Client, RequestFactory
from django.urls import reverse

from sites.kernel.engines.roles import Action
from sites.kernel.services.secrets import hash_of
from sites.models import AuditLine, Event, RecoveryCode, SignedIn, User
from sites.models.base import REF_ALPHABET
from sites.people.services.factor_rules import set_roles_asking
from sites.people.services.second_factor import Tried, reset_factor, try_code
from sites.people.views.guard import reaches_far
from tests import make_doors
from tests.cast import Cast

AT = datetime(2026, 11, 30, 12, 0, 0, tzinfo=UTC)
PASSWORD = "a long enough phrase"
CODE = reverse("sites:sign_in_code")
SETTINGS = reverse("sites:account")


def sign_in(user: User, **more: str) -> tuple[Client, str]:
    """Give the password; return the client and where it was led."""
    user.set_password(PASSWORD)
    user.save()
    client = Client()
    typed = {"username": user.username, "password": PASSWORD, **more}
    return client, client.post(reverse("sites:sign_in"), typed).headers["Location"]


def test_the_password_alone_lets_in_who_has_no_second_factor(cast: Cast) -> None:
    client, led = sign_in(cast.owner, next=SETTINGS)
    assert led == SETTINGS
    assert client.get(SETTINGS).status_code == 200
    assert AuditLine.objects.get(event=Event.SIGNED_IN).by == cast.owner


def test_the_password_alone_opens_nothing_to_who_has_one(cast: Cast) -> None:
    with time_machine.travel(AT, tick=False):
        make_doors.factor(cast.owner, at=AT - timedelta(hours=1))
        client, led = sign_in(cast.owner, next=SETTINGS)
        assert led == CODE
        assert client.get(SETTINGS).status_code == 302
        assert client.post(CODE, {"code": "000000"}).status_code == 422
        assert client.get(SETTINGS).status_code == 302
        done = client.post(CODE, {"code": make_doors.code_at(AT)})
        assert done.headers["Location"] == SETTINGS
        assert client.get(SETTINGS).status_code == 200
    failed = AuditLine.objects.get(event=Event.SIGN_IN_FAILED)
    assert (failed.about, failed.detail) == (cast.owner.username, "second factor")


@pytest.mark.parametrize(("seconds", "lets_in"), [(599, True), (600, False)])
def test_a_right_password_waits_ten_minutes_for_its_code(
    cast: Cast, seconds: int, lets_in: bool
) -> None:
    later = AT + timedelta(seconds=seconds)
    with time_machine.travel(AT, tick=False) as clock:
        make_doors.factor(cast.owner, at=AT - timedelta(hours=1))
        client, _led = sign_in(cast.owner)
        clock.move_to(later)
        client.post(CODE, {"code": make_doors.code_at(later)})
        assert (client.get(SETTINGS).status_code == 200) is lets_in


def test_who_lost_the_phone_gets_in_by_a_recovery_code(cast: Cast) -> None:
    codes = make_doors.factor(cast.owner, at=AT)
    client, _led = sign_in(cast.owner)
    client.post(CODE, {"code": codes[3]})
    assert client.get(SETTINGS).status_code == 200
    assert AuditLine.objects.filter(event=Event.RECOVERY_USED, by=cast.owner).count() == 1


def test_a_recovery_code_is_too_long_to_be_searched_for_and_earlier_ones_still_work(
    cast: Cast,
) -> None:
    """ASVS 5.0.0, 6.5.2: below 112 bits a plain hash is not enough."""
    (code, *_others) = make_doors.factor(cast.owner, at=AT)
    letters = code.replace("-", "")
    assert len(letters) * log2(len(REF_ALPHABET)) >= 112
    assert (len(letters) - 1) * log2(len(REF_ALPHABET)) < 112
    RecoveryCode.objects.create(user=cast.owner, code_hash=hash_of("b" * 16), made_at=AT)
    assert try_code(cast.owner, "b" * 15, at=AT) is Tried.WRONG
    assert try_code(cast.owner, "bbbb-BBBB-bbbb-bbbb", at=AT) is Tried.RECOVERY
    assert try_code(cast.owner, "b" * 16, at=AT) is Tried.WRONG
    assert try_code(cast.owner, code, at=AT) is Tried.RECOVERY


def test_who_has_to_set_one_up_gets_to_nothing_else(cast: Cast) -> None:
    set_roles_asking(by=cast.owner, roles=["dispatcher"])
    page = reverse("sites:second_factor")
    with time_machine.travel(AT, tick=False):
        client, _led = sign_in(cast.dispatcher)
        assert client.get(SETTINGS).headers["Location"] == page
        assert client.get(reverse("sites:properties")).headers["Location"] == page
        assert client.get(page).status_code == 200
        key = client.session["door_new_key"]
        typed = {"do": "set up", "code": make_doors.code_at(AT, key=key)}
        shown = client.post(page, typed)
        assert shown.content.decode().count("<li><code>") == 10
        assert client.get(SETTINGS).status_code == 200


def test_one_is_not_let_into_admin_past_the_second_factor(cast: Cast) -> None:
    sent = Client().post("/admin/login/?next=/admin/", {"username": "olive", "password": PASSWORD})
    assert sent.headers["Location"].startswith(reverse("sites:sign_in"))


def test_a_sign_in_that_is_ended_elsewhere_opens_nothing_more(cast: Cast) -> None:
    here, _led = sign_in(cast.owner)
    there, third = Client(), Client()
    for client in (there, third):
        client.force_login(cast.owner)
    rows = list(SignedIn.objects.filter(user=cast.owner).order_by("pk"))
    assert len(rows) == 3
    here.post(reverse("sites:sign_ins_end"), {"which": rows[1].pk})
    assert [each.get(SETTINGS).status_code for each in (here, there, third)] == [200, 302, 200]
    here.post(reverse("sites:sign_ins_end"), {"which": ""})
    assert [each.get(SETTINGS).status_code for each in (here, there, third)] == [200, 302, 302]


@pytest.mark.parametrize(("minutes_more", "holds"), [(-1, True), (0, False)])
def test_a_sign_in_that_is_used_every_day_ends_after_a_quarter_of_a_year(
    cast: Cast, minutes_more: int, holds: bool
) -> None:
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        for day in range(1, 90):
            clock.move_to(AT + timedelta(days=day))
            assert client.get(SETTINGS).status_code == 200
        clock.move_to(AT + timedelta(days=90, minutes=minutes_more))
        assert (client.get(SETTINGS).status_code == 200) is holds


def test_nobody_ends_the_sign_ins_of_others(cast: Cast) -> None:
    mine, theirs = Client(), Client()
    mine.force_login(cast.technician)
    theirs.force_login(cast.owner)
    row = SignedIn.objects.get(user=cast.owner)
    mine.post(reverse("sites:sign_ins_end"), {"which": row.pk})
    assert theirs.get(SETTINGS).status_code == 200


def test_a_reset_ends_the_sign_ins_and_a_new_password_the_others(cast: Cast) -> None:
    make_doors.factor(cast.technician, at=AT)
    client = Client()
    client.force_login(cast.technician)
    reset_factor(by=cast.owner, user=cast.technician)
    assert client.get(SETTINGS).status_code == 302


def test_the_log_shows_what_was_asked_for_to_owners_alone(cast: Cast) -> None:
    client, _led = sign_in(cast.owner)
    Client().post(reverse("sites:sign_in"), {"username": "nobody-here", "password": "x"})
    page = reverse("sites:audit")
    assert "nobody-here" in client.get(page).content.decode()
    assert "nobody-here" not in client.get(page, {"event": "signed in"}).content.decode()
    assert "nobody-here" in client.get(page, {"who": "body-h"}).content.decode()
    assert "nobody-here" not in client.get(page, {"until": "2020-01-01"}).content.decode()
    file = client.get(page, {"event": "sign-in failed", "export": "csv"})
    assert b"nobody-here" in b"".join(file.streaming_content)  # type: ignore[attr-defined]
    assert AuditLine.objects.filter(event=Event.EXPORTED, by=cast.owner).count() == 1
    client.force_login(cast.dispatcher)
    assert client.get(page).status_code == 403


@pytest.mark.parametrize(("minutes", "asked"), [(29, False), (30, True)])
def test_people_are_changed_after_the_password_again(cast: Cast, minutes: int, asked: bool) -> None:
    page = reverse("sites:access_end", args=[cast.technician.pk])
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        clock.move_to(AT + timedelta(minutes=minutes))
        assert client.get(page).status_code == (403 if asked else 200)
        assert client.get(reverse("sites:people")).status_code == 200  # looking is no change
        if asked:
            assert client.post(page, {"proof": "wrong", "was_opened": "1"}).status_code == 403
            assert client.get(page).status_code == 403
            client.post(page, {"proof": PASSWORD, "was_opened": "1"})
            assert client.get(page).status_code == 200


@pytest.mark.parametrize(("minutes", "asked"), [(29, False), (30, True)])
@pytest.mark.parametrize(
    "page",
    ["sites:audit", "faults:earnings", "reports:renew_first"],
)
def test_a_file_of_people_or_money_leaves_after_the_password_again(
    cast: Cast, page: str, minutes: int, asked: bool
) -> None:
    url = reverse(page)
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        clock.move_to(AT + timedelta(minutes=minutes))
        assert (client.get(url, {"export": "csv"}).status_code == 403) is asked
        assert client.get(url).status_code == 200  # looking takes nothing away
        # A plain list is no secret: nobody is asked for it.
        assert client.get(reverse("sites:stations"), {"export": "csv"}).status_code == 200
        if asked:
            typed = {"proof": PASSWORD, "was_opened": "1"}
            led = client.post(f"{url}?export=csv", typed).headers["Location"]
            assert led == f"{url}?export=csv"
            assert client.get(led).status_code == 200


def test_every_page_that_the_office_alone_opens_keeps_its_files_so() -> None:
    class Asked:
        asks_for = Action.SEE_RATES

    requests = RequestFactory()
    assert reaches_far(requests.get("/", {"export": "xlsx"}), Asked())
    assert not reaches_far(requests.get("/"), Asked())
    Asked.asks_for = Action.SEE_REGISTER
    assert not reaches_far(requests.get("/", {"export": "xlsx"}), Asked())


@pytest.mark.parametrize(("minutes", "asked"), [(29, False), (30, True)])
def test_a_device_left_open_does_not_lock_its_owner_out(
    cast: Cast, minutes: int, asked: bool
) -> None:
    page = reverse("sites:second_factor")
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        clock.move_to(AT + timedelta(minutes=minutes))
        assert client.get(page).status_code == (403 if asked else 200)
        make_doors.factor(cast.owner, at=AT)
        assert client.get(page).status_code == 200  # its form asks for a code


@pytest.mark.parametrize(("minutes", "asked"), [(29, False), (30, True)])
def test_a_device_left_open_does_not_move_where_links_are_mailed_to(
    cast: Cast, minutes: int, asked: bool
) -> None:
    own = {"time_zone": "UTC", "language": "en", "email": cast.owner.email}
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        clock.move_to(AT + timedelta(minutes=minutes))
        assert client.post(SETTINGS, {**own, "first_name": "Olive"}).status_code == 302
        moved = {**own, "email": "else@example.org"}
        assert (client.post(SETTINGS, moved).status_code == 403) is asked
        cast.owner.refresh_from_db()
        assert cast.owner.first_name == ("Olive" if asked else "")
        assert (cast.owner.email == "else@example.org") is not asked
        before = client.cookies["sessionid"].value
        client.post(SETTINGS, {**moved, "proof": PASSWORD})
        cast.owner.refresh_from_db()
        assert cast.owner.email == "else@example.org"
        # Who proved it anew goes on under another key, and is still found under it.
        assert (client.cookies["sessionid"].value != before) is asked
        row = SignedIn.objects.get(user=cast.owner)
        assert row.session_key == client.cookies["sessionid"].value


def test_what_was_sent_too_late_is_asked_for_and_then_done(cast: Cast) -> None:
    page = reverse("sites:role_give", args=[cast.technician.pk])
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        clock.move_to(AT + timedelta(minutes=31))
        held = client.post(page, {"given": "dispatcher", "client": ""})
        assert held.status_code == 403
        assert 'name="given" value="dispatcher"' in held.content.decode()
        assert cast.technician.grants.count() == 1
        client.post(page, {"given": "dispatcher", "client": "", "proof": PASSWORD})
    assert cast.technician.grants.count() == 2


def test_who_has_a_second_factor_proves_it_by_a_code(cast: Cast) -> None:
    make_doors.factor(cast.owner, at=AT - timedelta(hours=1))
    page, later = reverse("sites:token_make"), AT + timedelta(minutes=31)
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        client.post(CODE, {"code": make_doors.code_at(AT)})
        clock.move_to(later)
        client.post(page, {"proof": PASSWORD, "was_opened": "1"})
        assert client.get(page).status_code == 403
        client.post(page, {"proof": make_doors.code_at(later), "was_opened": "1"})
        assert client.get(page).status_code == 200


def test_no_line_of_the_log_can_be_changed_or_deleted(cast: Cast) -> None:
    sign_in(cast.owner)
    rows = AuditLine.objects.filter(event=Event.SIGNED_IN)
    for spoil in (lambda: rows.update(about="nobody"), rows.delete):
        with pytest.raises(IntegrityError, match="audit_line_never_changes"), transaction.atomic():
            spoil()
    assert rows.get().about == str(cast.owner)
