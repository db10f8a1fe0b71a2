"""Signing in with a passkey, being asked again before what reaches far, and one's own page."""

import json
import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from sites.models import Event, Passkey
from sites.people.services.factor_rules import set_roles_asking
from sites.people.services.passkeys import passkeys_of
from tests import make_doors
from tests.cast import Cast
from tests.make_passkeys import Device
from tests.web.people.test_doors import CODE, SETTINGS, sign_in

AT = datetime(2026, 12, 1, 12, tzinfo=UTC)
HERE = "http://testserver"
KEYS, FAR = reverse("sites:passkeys"), reverse("sites:person_invite")


def asked(response: Any) -> dict[str, Any]:
    """Return what a page lets the browser ask a device."""
    (found,) = re.findall(r'<script id="asked"[^>]*>(.*?)</script>', response.content.decode())
    read: dict[str, Any] = json.loads(found)
    return read


def add(client: Client, device: Device, *, name: str = "blue key") -> Any:
    answer = device.make(asked(client.get(KEYS)), origin=HERE)
    return client.post(KEYS, {"name": name, "passkey": answer})


def test_the_first_shows_recovery_codes_and_the_next_sign_in_asks_for_it(cast: Cast) -> None:
    device = Device()
    client, _led = sign_in(cast.owner)
    assert add(client, device).content.decode().count("<li><code>") == 10
    client, led = sign_in(cast.owner, next=SETTINGS)
    assert led == CODE
    page = client.get(CODE)
    wrong = client.post(CODE, {"passkey": Device().show(asked(page), origin=HERE)})
    assert wrong.status_code == 422
    assert "This passkey does not let in" in wrong.content.decode()
    assert client.get(SETTINGS).status_code == 302
    done = client.post(CODE, {"passkey": device.show(asked(wrong), origin=HERE)})
    assert done.headers["Location"] == SETTINGS
    assert client.get(SETTINGS).status_code == 200


def test_an_answer_that_was_used_opens_nothing_to_who_has_the_password_too(cast: Cast) -> None:
    device = Device(counts=False)
    add(sign_in(cast.owner)[0], device)
    client, _led = sign_in(cast.owner)
    answer = device.show(asked(client.get(CODE)), origin=HERE)
    client.post(CODE, {"passkey": answer})
    another, _led = sign_in(cast.owner)
    another.get(CODE)
    assert another.post(CODE, {"passkey": answer}).status_code == 422


def test_who_has_no_passkey_is_not_asked_for_one(cast: Cast) -> None:
    add(sign_in(cast.owner)[0], Device())
    codes = cast.owner.recovery_codes.count()
    assert codes == 10
    Passkey.objects.all().delete()
    client, led = sign_in(cast.owner)
    assert led == CODE
    assert "Use a passkey" not in client.get(CODE).content.decode()
    assert client.post(CODE, {"passkey": "{}"}).status_code == 422


@pytest.mark.parametrize(("minutes", "status"), [(30, 403), (29, 200)])
def test_it_is_asked_again_before_what_reaches_far_and_what_was_sent_goes_on(
    cast: Cast, minutes: int, status: int
) -> None:
    device = Device()
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        add(client, device)
        clock.move_to(AT + timedelta(minutes=minutes))
        page = client.get(FAR)
        assert page.status_code == status
        if status == 403:
            answer = device.show(asked(page), origin=HERE)
            went = client.post(FAR, {"proof_by_passkey": answer, "was_opened": "1"})
            assert went.headers["Location"] == FAR
            assert client.get(FAR).status_code == 200


def test_removing_one_after_half_an_hour_waits_for_the_proof_and_then_happens(cast: Cast) -> None:
    device = Device()
    with time_machine.travel(AT, tick=False) as clock:
        client, _led = sign_in(cast.owner)
        add(client, device)
        add(client, Device(), name="office")
        (_one, two) = passkeys_of(cast.owner)
        clock.move_to(AT + timedelta(minutes=31))
        page = client.post(KEYS, {"remove": two.pk})
        assert (page.status_code, Passkey.objects.count()) == (403, 2)
        wrong = client.post(KEYS, {"remove": two.pk, "proof_by_passkey": "{}"})
        assert (wrong.status_code, Passkey.objects.count()) == (403, 2)
        answer = device.show(asked(wrong), origin=HERE)
        client.post(KEYS, {"remove": two.pk, "proof_by_passkey": answer})
    assert [each.name for each in passkeys_of(cast.owner)] == ["blue key"]


def test_another_persons_cannot_be_removed_nor_one_that_is_no_number(cast: Cast) -> None:
    add(sign_in(cast.owner)[0], Device())
    client, _led = sign_in(cast.technician)
    for which in (str(Passkey.objects.get().pk), "x", "9" * 30, ""):
        assert client.post(KEYS, {"remove": which}).status_code == 404
    assert Passkey.objects.count() == 1


def test_whose_role_asks_for_a_factor_may_set_up_a_passkey_and_then_goes_on(cast: Cast) -> None:
    set_roles_asking(by=cast.owner, roles=["dispatcher"])
    client, _led = sign_in(cast.dispatcher)
    assert client.get(SETTINGS).headers["Location"] == reverse("sites:second_factor")
    add(client, Device())
    assert client.get(SETTINGS).status_code == 200
    kept = client.post(KEYS, {"remove": Passkey.objects.get().pk}, follow=True)
    assert "Your role asks for a second factor" in kept.content.decode()
    assert Passkey.objects.count() == 1


def test_a_name_that_is_missing_loses_nothing_but_the_devices_answer(cast: Cast) -> None:
    client, _led = sign_in(cast.owner)
    answer = Device().make(asked(client.get(KEYS)), origin=HERE)
    refused = client.post(KEYS, {"name": "", "passkey": answer})
    assert refused.status_code == 422
    assert Passkey.objects.count() == 0
    assert asked(refused)["publicKey"]["challenge"]


def test_the_log_says_what_was_added_and_removed(cast: Cast) -> None:
    client, _led = sign_in(cast.owner)
    add(client, Device())
    client.post(KEYS, {"remove": Passkey.objects.get().pk})
    page = client.get(reverse("sites:audit"))
    for event in (Event.PASSKEY_ADDED, Event.PASSKEY_REMOVED, Event.FACTOR_REMOVED):
        assert str(event.label) in page.content.decode()


def test_who_has_passkeys_alone_sets_up_codes_beside_them(cast: Cast) -> None:
    client, _led = sign_in(cast.owner)
    add(client, Device())
    with time_machine.travel(AT, tick=False):
        page = client.get(reverse("sites:second_factor"))
        words = page.content.decode()
        assert words.count('id="id_code"') == words.count('id="new_code"') == 1
        typed = {"do": "set up", "code": "000000"}
        refused = client.post(reverse("sites:second_factor"), typed).content.decode()
        assert refused.count("This code is wrong") == 1
        key = client.session["door_new_key"]
        typed["code"] = make_doors.code_at(AT, key=key)
        shown = client.post(reverse("sites:second_factor"), typed)
    assert shown.content.decode().count("<li><code>") == 10
    assert len(passkeys_of(cast.owner)) == 1
