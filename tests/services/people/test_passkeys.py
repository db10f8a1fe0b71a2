"""Passkeys: what is taken, what is refused, and what is left when one goes.

What has to be refused: Web Authentication, W3C, level 2, 7.1 (steps 7 to 9, 13, 14) and 7.2 (steps
11 to 13, 15, 16, 20, 21).
"""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.core import mail

from sites.models import AuditLine, Event, Passkey, SecondFactor, User
from sites.people.services.factor_rules import people_without, set_roles_asking
from sites.people.services.passkeys import (
    MOST_PASSKEYS,
    add_passkey,
    ask_to_make,
    ask_to_show,
    passkeys_of,
    remove_passkey,
    try_passkey,
)
from sites.people.services.second_factor import (
    MOST_WRONG,
    Tried,
    UnableToChangeFactor,
    codes_left,
    factor_of,
    has_codes,
    lacks_factor,
    remove_factor,
    reset_factor,
    try_code,
)
from tests import make_doors
from tests.cast import Cast
from tests.make_passkeys import HOLDS_A_KEY, PRESENT, Device

pytestmark = pytest.mark.django_db
AT = datetime(2026, 12, 1, 12, tzinfo=UTC)
HERE = "https://rejoin.example.org"


def add(user: User, device: Device, *, name: str = "blue key", origin: str = HERE) -> list[str]:
    asked = ask_to_make(user, origin=HERE)
    answer = device.make(asked.options, origin=origin)
    return add_passkey(user, name=name, answer=answer, kept=asked.kept, origin=HERE, at=AT)


def show(user: User, device: Device, *, origin: str = HERE, flags: int = PRESENT) -> Tried:
    asked = ask_to_show(user, origin=HERE)
    assert asked is not None
    answer = device.show(asked.options, origin=origin, flags=flags)
    return try_passkey(user, answer=answer, kept=asked.kept, origin=HERE, at=AT)


def test_the_first_is_a_second_factor_and_brings_recovery_codes(cast: Cast) -> None:
    set_roles_asking(by=cast.owner, roles=["dispatcher"])
    assert lacks_factor(cast.dispatcher)
    device = Device()
    codes = add(cast.dispatcher, device)
    assert len(codes) == 10
    assert not lacks_factor(cast.dispatcher)
    assert people_without(["dispatcher"]) == 0
    assert not has_codes(cast.dispatcher)
    assert try_code(cast.dispatcher, make_doors.code_at(AT), at=AT) is Tried.WRONG
    assert try_code(cast.dispatcher, codes[0], at=AT) is Tried.RECOVERY
    assert show(cast.dispatcher, device) is Tried.PASSKEY
    (row,) = passkeys_of(cast.dispatcher)
    assert (row.used_at, row.signed) == (AT, 1)


def test_a_second_one_and_one_beside_codes_leave_recovery_codes_alone(cast: Cast) -> None:
    codes = make_doors.factor(cast.owner, at=AT)
    one, two = Device(), Device()
    assert add(cast.owner, one) == add(cast.owner, two, name="office") == []
    assert codes_left(cast.owner) == len(codes)
    assert show(cast.owner, two) is Tried.PASSKEY
    assert show(cast.owner, one) is Tried.PASSKEY
    assert try_code(
        cast.owner, make_doors.code_at(AT.replace(minute=1)), at=AT.replace(minute=1)
    ).is_right


def test_a_code_of_a_phone_can_be_added_to_passkeys(cast: Cast) -> None:
    add(cast.owner, Device())
    make_doors.factor(cast.owner, at=AT)
    assert has_codes(cast.owner)
    assert SecondFactor.objects.count() == 1
    with pytest.raises(UnableToChangeFactor, match="already"):
        make_doors.factor(cast.owner, at=AT)


@pytest.mark.parametrize(
    "origin",
    [
        "https://rejoin.example.net",
        "http://rejoin.example.org",
        "https://rejoin.example.org:444",
        "https://evil.rejoin.example.org",
    ],
)
def test_what_was_signed_for_another_address_is_refused(cast: Cast, origin: str) -> None:
    with pytest.raises(UnableToChangeFactor, match="does not fit"):
        add(cast.owner, Device(), origin=origin)
    assert factor_of(cast.owner) is None
    device = Device()
    add(cast.owner, device)
    assert show(cast.owner, device, origin=origin) is Tried.WRONG


def test_another_device_another_person_and_nobody_present_are_refused(cast: Cast) -> None:
    own, theirs = Device(), Device()
    add(cast.owner, own)
    add(cast.technician, theirs)
    assert show(cast.owner, theirs) is Tried.WRONG
    assert show(cast.owner, Device()) is Tried.WRONG
    assert show(cast.owner, own, flags=0) is Tried.WRONG
    assert show(cast.owner, own, flags=HOLDS_A_KEY) is Tried.WRONG
    assert show(cast.owner, own) is Tried.PASSKEY
    assert AuditLine.objects.filter(event=Event.SIGN_IN_FAILED, detail="passkey").count() == 4


def test_an_answer_is_taken_for_what_was_asked_alone(cast: Cast) -> None:
    device = Device()
    add(cast.owner, device)
    first, second = ask_to_show(cast.owner, origin=HERE), ask_to_show(cast.owner, origin=HERE)
    assert first
    assert second
    answer = device.show(first.options, origin=HERE)
    for kept in (second.kept, None, {}):
        assert try_passkey(cast.owner, answer=answer, kept=kept, origin=HERE, at=AT) is Tried.WRONG

    def again() -> Tried:
        return try_passkey(cast.owner, answer=answer, kept=first.kept, origin=HERE, at=AT)

    assert again() is Tried.PASSKEY
    assert again() is Tried.WRONG  # its count is no longer ahead


@pytest.mark.parametrize(
    ("count", "came"), [(4, Tried.WRONG), (5, Tried.WRONG), (6, Tried.PASSKEY)]
)
def test_a_device_whose_count_does_not_go_on_may_be_a_copy(
    cast: Cast, count: int, came: Tried
) -> None:
    device = Device()
    add(cast.owner, device)
    Passkey.objects.update(signed=5)
    device.signed = count - 1
    assert show(cast.owner, device) is came
    noted = AuditLine.objects.filter(detail__contains="older state").count()
    assert noted == (came is Tried.WRONG)


def test_a_device_that_never_counts_lets_in_again_and_again(cast: Cast) -> None:
    device = Device(counts=False)
    add(cast.owner, device)
    assert [show(cast.owner, device) for _ in range(2)] == [Tried.PASSKEY] * 2


@pytest.mark.parametrize(
    "answer",
    [
        "",
        "{",
        "[]",
        "null",
        '{"response": 1}',
        '{"rawId": "", "response": {}}',
        "9" * 30_000,
        "[" * 5_000,
    ],
)
def test_nonsense_is_refused_and_breaks_nothing(cast: Cast, answer: str) -> None:
    add(cast.owner, Device())
    asked = ask_to_show(cast.owner, origin=HERE)
    assert asked
    came = try_passkey(cast.owner, answer=answer, kept=asked.kept, origin=HERE, at=AT)
    assert came is Tried.WRONG
    kept: dict[str, Any] = ask_to_make(cast.owner, origin=HERE).kept
    with pytest.raises(UnableToChangeFactor, match="does not fit"):
        add_passkey(cast.owner, name="x", answer=answer, kept=kept, origin=HERE, at=AT)
    with pytest.raises(UnableToChangeFactor, match="does not fit"):
        add_passkey(cast.owner, name="x", answer=answer, kept={}, origin=HERE, at=AT)


def test_a_lock_of_codes_does_not_keep_a_passkey_out(cast: Cast) -> None:
    device = Device()
    make_doors.factor(cast.owner, at=AT)
    add(cast.owner, device)
    for _ in range(MOST_WRONG):
        try_code(cast.owner, "000000", at=AT)
    assert try_code(cast.owner, "000000", at=AT) is Tried.LOCKED
    assert show(cast.owner, device) is Tried.PASSKEY
    assert try_code(cast.owner, "000000", at=AT) is Tried.LOCKED


def test_the_same_device_twice_no_name_and_one_too_many_are_refused(cast: Cast) -> None:
    device = Device()
    add(cast.owner, device)
    with pytest.raises(UnableToChangeFactor, match="already"):
        add(cast.owner, device)
    with pytest.raises(UnableToChangeFactor, match="name"):
        add(cast.owner, Device(), name="  ")
    for _ in range(MOST_PASSKEYS - 1):
        add(cast.owner, Device())
    with pytest.raises(UnableToChangeFactor, match="are the most"):
        add(cast.owner, Device())
    assert len(passkeys_of(cast.owner)) == MOST_PASSKEYS


def test_the_last_one_takes_the_factor_with_it_unless_a_role_asks_for_it(cast: Cast) -> None:
    set_roles_asking(by=cast.owner, roles=["dispatcher"])
    for _ in range(2):
        add(cast.dispatcher, Device())
    remove_passkey(cast.dispatcher, passkeys_of(cast.dispatcher)[0])
    with pytest.raises(UnableToChangeFactor, match="Your role asks"):
        remove_passkey(cast.dispatcher, passkeys_of(cast.dispatcher)[0])
    set_roles_asking(by=cast.owner, roles=[])
    remove_passkey(cast.dispatcher, passkeys_of(cast.dispatcher)[0])
    assert factor_of(cast.dispatcher) is None
    assert codes_left(cast.dispatcher) == 0


def test_beside_codes_the_last_one_goes_alone(cast: Cast) -> None:
    make_doors.factor(cast.owner, at=AT)
    add(cast.owner, Device())
    remove_passkey(cast.owner, passkeys_of(cast.owner)[0])
    assert has_codes(cast.owner)
    assert codes_left(cast.owner) == 10


def test_who_removes_or_resets_the_factor_removes_its_passkeys(cast: Cast) -> None:
    add(cast.owner, Device())
    remove_factor(cast.owner)
    add(cast.technician, Device())
    reset_factor(by=cast.owner, user=cast.technician)
    assert Passkey.objects.count() == 0
    assert ask_to_show(cast.technician, origin=HERE) is None


def test_another_persons_passkey_cannot_be_removed(cast: Cast) -> None:
    add(cast.technician, Device())
    with pytest.raises(SecondFactor.DoesNotExist):
        remove_passkey(cast.owner, passkeys_of(cast.technician)[0])


def test_the_person_is_told_by_mail_of_a_new_one_and_of_its_end(
    cast: Cast, django_capture_on_commit_callbacks: Any
) -> None:
    User.objects.filter(pk=cast.owner.pk).update(email="pat@example.org")
    cast.owner.refresh_from_db()
    with django_capture_on_commit_callbacks(execute=True):
        add(cast.owner, Device())
    with django_capture_on_commit_callbacks(execute=True):
        add(cast.owner, Device())
        remove_passkey(cast.owner, passkeys_of(cast.owner)[0])
    said = [each.body for each in mail.outbox]
    assert ["was added" in each for each in said] == [True, True, False]
    assert "was removed" in said[2]
