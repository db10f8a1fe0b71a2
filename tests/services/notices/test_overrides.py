"""The owner's reasoned word against a notice: kept, shown to the gate, and taken back."""

from typing import Any

import pytest

from faults.notices.engines.dig_gate import Block
from faults.notices.services import dig_gate
from faults.notices.services.gate import (
    UnableToOverride,
    judge_job,
    override_dig,
    take_back_override,
)
from sites.kernel.engines.roles import Role
from tests import make, make_notices
from tests.services.notices.test_dig_gate import at, blocks, fault_here, ready

pytestmark = pytest.mark.django_db


def test_the_owners_word_opens_the_gate_until_it_is_taken_back() -> None:
    owner, job = make.user(Role.OWNER), make_notices.dig(fault=fault_here())
    word = override_dig(job=job, reason="the city spoke", by=owner, at=make.NOW)
    assert dig_gate(job=job, at=at("2026-03-10")).is_clear
    assert not judge_job(job=job, at=at("2026-03-10")).is_clear
    with pytest.raises(UnableToOverride, match="holds for this job already"):
        override_dig(job=job, reason="again", by=owner, at=make.NOW)
    take_back_override(override=word, today=make.TODAY)
    assert blocks(job, at("2026-03-10")) == {Block.NO_NOTICE.value}
    with pytest.raises(UnableToOverride, match="taken back"):
        take_back_override(override=word, today=make.TODAY)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"kind": "locate"}, "Only an open job that digs"),
        ({"state": "done"}, "Only an open job that digs"),
    ],
)
def test_a_word_is_for_open_digs(given: dict[str, Any], words: str) -> None:
    job = make_notices.dig(**given)
    with pytest.raises(UnableToOverride, match=words):
        override_dig(job=job, reason="why", by=make.user(), at=make.NOW)


def test_a_word_needs_a_reason_and_something_that_holds_back() -> None:
    job = ready(given_at=at("2026-03-02", 10))
    with pytest.raises(UnableToOverride, match="Say why"):
        override_dig(job=job, reason="  ", by=make.user(), at=at("2026-03-10"))
    with pytest.raises(UnableToOverride, match="Nothing holds"):
        override_dig(job=job, reason="why", by=make.user(), at=at("2026-03-10"))
