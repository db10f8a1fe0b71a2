"""What kinds of job usually need: all are possible, and a dig is always one."""

import pytest

from faults.work.engines.kinds import (
    ALWAYS_OPENS_GROUND,
    CHECK_UPS,
    REPAIRS,
    USUAL,
    WALKS,
    KindFacts,
)


@pytest.mark.parametrize("kind", USUAL)
def test_each_kind_takes_minutes_people_and_a_skill_of_the_scale(kind: str) -> None:
    usual = USUAL[kind]
    assert 15 <= usual.minutes <= 8 * 60
    assert 1 <= usual.skill <= 3
    assert usual.people >= 1
    assert usual.gear == ""


def test_what_opens_ground_and_what_does_not() -> None:
    opening = {kind for kind, usual in USUAL.items() if usual.opens_ground}
    assert opening == {"dig and mend", "new wire", "leak"}
    assert opening >= ALWAYS_OPENS_GROUND == {"dig and mend"}
    assert opening <= REPAIRS
    assert not opening & (WALKS | CHECK_UPS)


def test_groups_hold_known_kinds_and_no_kind_twice() -> None:
    assert set(USUAL) >= REPAIRS | WALKS | CHECK_UPS
    assert not REPAIRS & WALKS
    assert not (REPAIRS | WALKS) & CHECK_UPS
    assert {"wire check-up", "two-wire check"} == CHECK_UPS
    assert {"station walk", "start-up", "shut-down", "inspection"} == WALKS


def test_without_a_word_a_kind_takes_one_beginner_and_opens_nothing() -> None:
    assert KindFacts(1) == KindFacts(1, 1, 1, "", False)
    assert USUAL["locate"].skill == 2
    assert USUAL["new wire"].people == 2
