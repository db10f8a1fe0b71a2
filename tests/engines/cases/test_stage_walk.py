"""Walks through the table of stages: who can go where, which steps must be explained."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.cases.engines.stages import (
    CLOSED,
    MOVES,
    Move,
    Stage,
    find_move,
    needs_a_reason,
    next_moves,
)
from sites.kernel.engines.roles import Role

ROLES = st.sets(st.sampled_from(Role))


@given(st.sampled_from(Stage), ROLES)
def test_next_moves_are_those_of_the_table_that_a_role_may_make(
    start: Stage, roles: set[Role]
) -> None:
    offered = next_moves(start, roles)
    assert set(offered) == {m for m in MOVES if m.start is start and m.roles & roles}
    assert len(offered) == len({move.end for move in offered})


@given(st.sampled_from(Stage), ROLES)
def test_onward_moves_come_before_those_that_need_a_reason(start: Stage, roles: set[Role]) -> None:
    explained = [needs_a_reason(move) for move in next_moves(start, roles)]
    assert explained == sorted(explained)


@pytest.mark.parametrize("move", MOVES, ids=lambda move: f"{move.start} to {move.end}")
def test_a_move_needs_a_reason_unless_it_goes_on_towards_central(move: Move) -> None:
    onward = move.end not in (Stage.GIVEN_UP, Stage.WITHDRAWN) and list(Stage).index(
        move.end
    ) > list(Stage).index(move.start)
    assert needs_a_reason(move) is not onward


@given(st.lists(st.integers(min_value=0, max_value=9), max_size=30), ROLES)
def test_no_walk_over_offered_moves_leaves_the_table(choices: list[int], roles: set[Role]) -> None:
    here = Stage.REPORTED
    for choice in choices:
        offered = next_moves(here, roles)
        if not offered:
            break
        there = offered[choice % len(offered)].end
        assert find_move(here, there) is not None
        here = there


@pytest.mark.parametrize("stage", sorted(CLOSED))
def test_a_client_never_moves_anything(stage: Stage) -> None:
    assert next_moves(stage, {Role.CLIENT}) == []
