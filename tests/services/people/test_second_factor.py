"""A second factor: codes once, guesses limited, recovery codes once, reset by who may.

Source of the codes: RFC 6238, appendix B, of which the last six of eight digits are shown.
"""

from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from django.test import override_settings

from sites.models import AuditLine, Event, RecoveryCode, SecondFactor
from sites.people.services.factor_rules import people_without, set_roles_asking
from sites.people.services.second_factor import (
    Tried,
    UnableToChangeFactor,
    codes_left,
    lacks_factor,
    make_recovery_codes,
    remove_factor,
    reset_factor,
    set_up,
    try_code,
)
from tests import make_doors
from tests.cast import Cast

AT = datetime(2026, 11, 30, 12, 0, 0, tzinfo=UTC)
STEP = timedelta(seconds=30)


@pytest.mark.parametrize(
    ("seconds", "code"),
    [(59, "287082"), (1111111109, "081804"), (1234567890, "005924"), (20000000000, "353130")],
)
def test_codes_are_those_of_the_standard(seconds: int, code: str) -> None:
    key = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"  # "12345678901234567890" as base 32
    assert pyotp.TOTP(key).generate_otp(seconds // 30) == code


@pytest.mark.parametrize(
    ("steps", "came"),
    [(-2, Tried.WRONG), (-1, Tried.CODE), (0, Tried.CODE), (1, Tried.CODE), (2, Tried.WRONG)],
)
def test_a_clock_may_be_half_a_minute_off_and_no_more(cast: Cast, steps: int, came: Tried) -> None:
    make_doors.factor(cast.owner, at=AT - timedelta(hours=1))
    assert try_code(cast.owner, make_doors.code_at(AT + steps * STEP), at=AT) is came


def test_a_code_works_once_and_an_earlier_one_no_more(cast: Cast) -> None:
    make_doors.factor(cast.owner, at=AT)
    assert try_code(cast.owner, make_doors.code_at(AT), at=AT) is Tried.WRONG
    later = AT + STEP
    assert try_code(cast.owner, make_doors.code_at(later), at=later) is Tried.CODE
    assert try_code(cast.owner, make_doors.code_at(AT), at=later) is Tried.WRONG
    assert try_code(cast.owner, make_doors.code_at(later), at=later) is Tried.WRONG


def test_six_wrong_codes_lock_for_fifteen_minutes(cast: Cast) -> None:
    codes = make_doors.factor(cast.owner, at=AT)
    for _each in range(6):
        assert try_code(cast.owner, "000000x", at=AT) is Tried.WRONG
    until = AT + timedelta(minutes=15)
    just_before = until - timedelta(seconds=1)
    assert try_code(cast.owner, make_doors.code_at(just_before), at=just_before) is Tried.LOCKED
    assert try_code(cast.owner, codes[0], at=just_before) is Tried.LOCKED
    assert try_code(cast.owner, make_doors.code_at(until), at=until) is Tried.CODE
    assert AuditLine.objects.filter(event=Event.LOCKED_OUT).count() == 1


def test_five_wrong_codes_and_a_right_one_begin_the_count_again(cast: Cast) -> None:
    codes = make_doors.factor(cast.owner, at=AT)
    for code in (codes[0], codes[1]):
        for _each in range(5):
            assert try_code(cast.owner, "nonsense", at=AT) is Tried.WRONG
        assert try_code(cast.owner, code, at=AT) is Tried.RECOVERY


def test_a_recovery_code_works_once_however_it_is_typed(cast: Cast) -> None:
    codes = make_doors.factor(cast.owner, at=AT)
    assert len(set(codes)) == 10
    assert try_code(cast.owner, codes[0].upper().replace("-", " "), at=AT) is Tried.RECOVERY
    assert try_code(cast.owner, codes[0], at=AT) is Tried.WRONG
    assert codes_left(cast.owner) == 9


def test_new_recovery_codes_make_the_old_ones_useless(cast: Cast) -> None:
    old = make_doors.factor(cast.owner, at=AT)
    new = make_recovery_codes(cast.owner, at=AT)
    assert try_code(cast.owner, old[1], at=AT) is Tried.WRONG
    assert try_code(cast.owner, new[1], at=AT) is Tried.RECOVERY


def test_codes_of_one_person_let_in_nobody_else(cast: Cast) -> None:
    theirs = make_doors.factor(cast.dispatcher, at=AT)
    make_doors.factor(cast.owner, at=AT)
    assert try_code(cast.owner, theirs[0], at=AT) is Tried.WRONG


def test_neither_key_nor_codes_stand_readable_in_the_database(cast: Cast) -> None:
    codes = make_doors.factor(cast.owner, at=AT)
    kept = SecondFactor.objects.get().sealed_key
    assert make_doors.KEY not in kept
    hashes = " ".join(RecoveryCode.objects.values_list("code_hash", flat=True))
    assert not any(code.replace("-", "") in hashes for code in codes)


def test_after_another_secret_key_only_recovery_codes_let_in(cast: Cast) -> None:
    codes = make_doors.factor(cast.owner, at=AT)
    later = AT + STEP
    with override_settings(SECRET_KEY="another" * 8):
        assert try_code(cast.owner, make_doors.code_at(later), at=later) is Tried.WRONG
        assert try_code(cast.owner, codes[0], at=later) is Tried.RECOVERY


def test_is_kept_only_with_a_right_code_and_once(cast: Cast) -> None:
    with pytest.raises(UnableToChangeFactor):
        set_up(cast.owner, key=make_doors.KEY, code="000000", at=AT)
    assert not SecondFactor.objects.exists()
    make_doors.factor(cast.owner, at=AT)
    with pytest.raises(UnableToChangeFactor):
        make_doors.factor(cast.owner, at=AT + STEP)


def test_a_role_may_ask_for_it_and_then_nobody_removes_their_own(cast: Cast) -> None:
    set_roles_asking(by=cast.owner, roles=["dispatcher"])
    assert lacks_factor(cast.dispatcher)
    assert not lacks_factor(cast.technician)
    assert people_without(["dispatcher"]) == 1
    make_doors.factor(cast.dispatcher, at=AT)
    make_doors.factor(cast.technician, at=AT)
    assert not lacks_factor(cast.dispatcher)
    assert people_without(["dispatcher"]) == 0
    with pytest.raises(UnableToChangeFactor):
        remove_factor(cast.dispatcher)
    remove_factor(cast.technician)
    assert not SecondFactor.objects.filter(user=cast.technician).exists()
    said = AuditLine.objects.get(event=Event.FACTOR_RULE)
    assert (said.by, said.detail) == (cast.owner, "– → dispatcher")


def test_an_owner_resets_that_of_another_and_not_ones_own(cast: Cast) -> None:
    codes = make_doors.factor(cast.technician, at=AT)
    make_doors.factor(cast.owner, at=AT)
    reset_factor(by=cast.owner, user=cast.technician)
    assert try_code(cast.technician, codes[0], at=AT) is Tried.WRONG
    assert AuditLine.objects.get(event=Event.FACTOR_REMOVED).about == str(cast.technician)
    for user in (cast.owner, cast.dispatcher):  # one's own, and one who has none
        with pytest.raises(UnableToChangeFactor):
            reset_factor(by=cast.owner, user=user)
