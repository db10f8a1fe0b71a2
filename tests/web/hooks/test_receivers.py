"""Programs that are told, on their pages: set up, seen, switched, tried out, by whom it may be."""

from html import unescape
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from reports.hooks.services import reaching
from reports.hooks.services.sending import PURPOSE, send_waiting
from reports.hooks.views import receivers as views
from reports.models import Delivery, Happened, Outcome, Receiver, WhyOff
from sites.kernel.engines.roles import Role
from sites.models import AuditLine, Event, User
from sites.people.services.sealing import unseal
from tests import make, make_hooks
from tests.make_hooks import answer, listening, read_request
from tests.web.pages import open_page, send, signed_in

pytestmark = pytest.mark.django_db
LIST, SET_UP = "/account/receivers/", "/account/receivers/set-up/"
CHOSEN: dict[str, Any] = {
    "name": "display",
    "address": "https://display.example/told",
    "kinds": ["off_central", "returned"],
}


@pytest.fixture(autouse=True)
def name_server(monkeypatch: pytest.MonkeyPatch) -> None:
    """Names that end in .example lie outside; what else is asked is inside."""

    def look_up(host: str, port: int) -> list[str]:
        if host.endswith(".invalid"):
            raise OSError("not known")
        return ["8.8.8.8"] if host.endswith(".example") else ["10.0.0.7"]

    monkeypatch.setattr(reaching, "look_up", look_up)


@pytest.fixture
def owner() -> User:
    return make.user(Role.OWNER)


def at_page(row: Receiver, what: str = "") -> str:
    return f"/account/receivers/{row.ref}/{what}"


def secret_on(html: str) -> str:
    return html.split('id="secret"')[1].split('value="')[1].split('"')[0]


def test_a_program_is_set_up_and_its_secret_shown_once(owner: User) -> None:
    place = make.place(code="ELM")
    answer = signed_in(owner).post(SET_UP, {**CHOSEN, "place": place.pk})
    assert answer.headers["Cache-Control"] == "no-store"
    row = Receiver.objects.get()
    secret = secret_on(answer.content.decode())
    assert unseal(row.sealed_secret, purpose=PURPOSE) == secret
    assert secret not in row.sealed_secret
    assert (row.user, row.property, row.kinds) == (owner, place, "off_central returned")
    for page in (LIST, at_page(row)):
        sheet = open_page(owner, page)
        assert "display" in sheet.words
        assert "ELM" in sheet.words
        assert secret not in sheet.html
    line = AuditLine.objects.get(event=Event.HOOK_SET_UP)
    assert (line.about, secret in line.detail) == ("display", False)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"address": "https://inside.house/"}, "10.0.0.7"),
        ({"address": "http://display.example/"}, "https://"),
        ({"address": "https://nobody.invalid/"}, "not known"),
        ({"name": " "}, "required"),
        ({"kinds": []}, "required"),
        ({"kinds": ["test"]}, "not one of"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_is_kept(
    changed: dict[str, Any], field: str, owner: User
) -> None:
    sheet = send(owner, SET_UP, **{**CHOSEN, **changed})
    assert sheet.status == 422
    assert field in " ".join(sheet.errors)
    assert sheet.value("address") == {**CHOSEN, **changed}["address"]
    assert Receiver.objects.count() == 0


def test_a_network_of_ones_own_is_allowed_by_a_setting(owner: User, settings: Any) -> None:
    settings.HOOK_NETWORKS = ["10.0.0.0/8"]
    settings.HOOKS_WITHOUT_TLS = True
    send(owner, SET_UP, **{**CHOSEN, "address": "http://inside.house/"})
    assert Receiver.objects.get().address == "http://inside.house/"


def test_nobody_is_told_of_more_than_they_see() -> None:
    mine, other = make.place(), make.place()
    person = make.user(Role.CLIENT, client=mine.client)
    assert send(person, SET_UP, **CHOSEN, place=other.pk).status == 422
    assert send(person, SET_UP, **CHOSEN, client=other.client.pk).status == 422
    assert send(person, SET_UP, **CHOSEN, client=mine.client.pk, place=mine.pk).status == 422
    assert Receiver.objects.count() == 0
    send(person, SET_UP, **CHOSEN, place=mine.pk)
    assert Receiver.objects.get().property == mine


def test_twenty_are_enough_and_one_that_is_off_makes_room(owner: User) -> None:
    rows = [make_hooks.receiver(owner) for _ in range(20)]
    assert send(owner, SET_UP, **CHOSEN).status == 422
    send(owner, at_page(rows[0], "off/"))
    send(owner, SET_UP, **CHOSEN)
    assert Receiver.objects.count() == 21


def test_one_sees_ones_own_and_an_owner_of_everything_all(owner: User) -> None:
    person, other = make.user(Role.DISPATCHER), make.user(Role.DISPATCHER)
    row = make_hooks.receiver(person, name="gate display")
    kept = make_hooks.delivery(row, sent_at=make.NOW)
    assert "gate display" not in open_page(other, LIST).words
    for what in ("", "change/", "secret/", "off/", "on/", "test/", f"again/{kept.pk}/"):
        assert signed_in(other).post(at_page(row, what)).status_code == 404
        assert signed_in(owner).get(at_page(row, what)).status_code == 200
    assert "gate display" in open_page(owner, LIST).words


def test_a_message_is_found_at_its_own_program_alone(owner: User) -> None:
    one, other = make_hooks.receiver(owner), make_hooks.receiver(owner)
    kept = make_hooks.delivery(one, sent_at=make.NOW)
    assert signed_in(owner).get(at_page(other, f"again/{kept.pk}/")).status_code == 404


def test_who_changes_it_cannot_widen_what_it_is_told(owner: User) -> None:
    mine, other = make.place(), make.place()
    row = make_hooks.receiver(make.user(Role.CLIENT, client=mine.client))
    sheet = open_page(owner, at_page(row, "change/"))
    assert sheet.value("address") == row.address
    assert send(owner, at_page(row, "change/"), **CHOSEN, place=other.pk).status == 422
    send(owner, at_page(row, "change/"), **{**CHOSEN, "name": "new name"}, place=mine.pk)
    row.refresh_from_db()
    assert (row.name, row.property, row.kinds) == ("new name", mine, "off_central returned")


def test_a_new_secret_takes_the_place_of_the_old_one(owner: User) -> None:
    row = make_hooks.receiver(owner)
    answer = signed_in(owner).post(at_page(row, "secret/"))
    row.refresh_from_db()
    secret = secret_on(answer.content.decode())
    assert unseal(row.sealed_secret, purpose=PURPOSE) == secret != make_hooks.SECRET
    assert answer.headers["Cache-Control"] == "no-store"
    assert unseal(row.sealed_before, purpose=PURPOSE) == make_hooks.SECRET
    signed_in(owner).post(at_page(row, "secret/"), {"at_once": "on"})
    row.refresh_from_db()
    assert (row.sealed_before, row.before_until) == ("", None)
    assert AuditLine.objects.filter(event=Event.HOOK_SECRET).count() == 2


def test_it_is_switched_off_and_on_and_that_is_logged(owner: User) -> None:
    row = make_hooks.receiver(owner)
    make_hooks.delivery(row)
    send(owner, at_page(row, "off/"))
    row.refresh_from_db()
    assert row.why_off == WhyOff.BY_HAND
    assert "1 message waits until it is switched on" in open_page(owner, at_page(row)).words
    send(owner, at_page(row, "on/"))
    row.refresh_from_db()
    assert row.off_at is None
    lines = AuditLine.objects.filter(event=Event.HOOK_SWITCHED).order_by("pk")
    assert [(line.by, line.detail) for line in lines] == [(owner, "off"), (owner, "on")]


def test_what_reaches_far_asks_for_the_password_again() -> None:
    far = (views.receiver_set_up, views.receiver_secret)
    assert [view.asks_again for view in far] == [True, True]  # type: ignore[attr-defined]
    assert views.ReceiverChange.asks_again
    assert views.ReceiverOn.asks_again


def test_the_page_says_what_became_of_each_message(owner: User) -> None:
    row, clock = make_hooks.receiver(owner), make.controller(property=make.place(code="PLACE"))
    station = make.station(controller=clock)
    make_hooks.delivery(
        row, kind=Happened.OFF_CENTRAL, station=station, sent_at=make.NOW, tries=1,
        outcome=Outcome.ACCEPTED, status=204,
    )  # fmt: skip
    make_hooks.delivery(
        row, given_up_at=make.NOW, tries=9, outcome=Outcome.STATUS, status=503, detail="<b>busy"
    )
    make_hooks.delivery(row, tries=2, outcome=Outcome.TIMEOUT)
    sheet = open_page(owner, at_page(row))
    assert "1 message was given up" in sheet.words
    rows = [" ".join(cells) for cells in sheet.rows("sent")]
    assert len(rows) == 3
    waiting, lost, done = rows
    assert "no answer in time" in waiting
    assert make.NOW.strftime("%Y-%m-%d") in waiting
    assert "it answered with an error (503): <b>busy" in lost
    assert "given up" in lost
    assert "accepted (204)" in done
    assert f"PLACE {station}" in done


def test_thirty_rows_ask_the_database_as_often_as_three(owner: User) -> None:
    counts = []
    for many in (3, 30):
        for _ in range(many):
            row = make_hooks.receiver(owner, property=make.place())
            make_hooks.delivery(row, station=make.station(), kind=Happened.RETURNED)
        for _ in range(many):
            make_hooks.delivery(row, station=make.station(), kind=Happened.OFF_CENTRAL)
        browser = signed_in(owner)
        for page in (LIST, at_page(row)):
            with CaptureQueriesContext(connection) as asked:
                assert browser.get(page).status_code == 200
            counts.append(len(asked))
    # Session, user and grants; the programs, or the program and its messages.
    assert counts[:2] == counts[2:]
    assert max(counts) <= 8


def test_a_test_and_a_message_go_out_again(owner: User) -> None:
    row = make_hooks.receiver(owner)
    assert send(owner, at_page(row, "test/")).status == 200
    made = Delivery.objects.get()
    assert make_hooks.told() == [
        {
            "id": str(made.key),
            "kind": "test",
            "at": make_hooks.told()[0]["at"],
            "data": {"says": "This is a test."},
        }
    ]
    Delivery.objects.update(given_up_at=make.NOW, tries=9)
    send(owner, at_page(row, f"again/{made.pk}/"))
    made.refresh_from_db()
    assert (made.given_up_at, made.tries) == (None, 0)


def test_health_says_what_was_given_up(owner: User) -> None:
    make_hooks.delivery(make_hooks.receiver(owner), given_up_at=make.NOW)
    sheet = open_page(owner, "/health/")
    assert "1 was given up" in sheet.panel("sent-1")


def test_the_check_that_the_guide_prints_knows_ours_from_others(
    owner: User, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    html = open_page(owner, "/programs/").html
    printed = unescape(html.split('<code id="check" lang="en">')[1].split("</code>")[0])
    there: dict[str, Any] = {}
    exec(printed, there)
    check = there["is_from_rejoin"]
    settings.HOOK_NETWORKS, settings.HOOKS_WITHOUT_TLS = ["127.0.0.1"], True
    monkeypatch.setattr(reaching, "look_up", lambda host, port: ["127.0.0.1"])
    got: list[Any] = []

    def play(line: Any) -> None:
        got.append(read_request(line))
        line.sendall(answer("204 No Content").encode())

    with listening(play) as port:
        row = make_hooks.receiver(owner, address=f"http://display.example:{port}/")
        make_hooks.delivery(row)
        assert send_waiting(at=timezone.now(), go_on=lambda: None)["sent"] == 1
    ((_first, headers, body),) = got
    assert check(make_hooks.SECRET, headers, body)
    assert not check("another", headers, body)
    assert not check(make_hooks.SECRET, headers, body + b" ")
    sent = int(headers["Rejoin-Time"])
    for moment, holds in ((sent + 299, True), (sent + 300, False), (sent - 300, False)):
        with time_machine.travel(moment, tick=False):
            assert check(make_hooks.SECRET, headers, body) is holds
