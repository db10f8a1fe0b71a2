"""The stages of a station in a fault: legal moves only, and what the fault shows."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.cases.engines.stages import ADVANCE, CLOSED, MOVES, Stage, find_move, least_advanced
from sites.kernel.engines.roles import Role

OUTSIDERS = {Role.CLIENT}


@pytest.mark.parametrize("start", list(Stage))
@pytest.mark.parametrize("end", list(Stage))
def test_a_move_is_found_exactly_when_the_table_has_it(start: Stage, end: Stage) -> None:
    listed = [move for move in MOVES if (move.start, move.end) == (start, end)]
    assert find_move(start, end) == (listed[0] if listed else None)
    assert len(listed) <= 1


def test_no_move_stays_where_it_is() -> None:
    assert [move for move in MOVES if move.start == move.end] == []


@given(st.lists(st.sampled_from(Stage), min_size=1, max_size=20))
def test_no_wish_of_any_length_leaves_the_legal_paths(wishes: list[Stage]) -> None:
    here, path = Stage.REPORTED, [Stage.REPORTED]
    for wish in wishes:
        if find_move(here, wish):
            here = wish
            path.append(here)
    for before, after in itertools.pairwise(path):
        if after is Stage.PROVEN:
            assert before is Stage.MENDED
        if after is Stage.RETURNED:
            assert before is Stage.PROVEN
        if after is Stage.MENDED:
            assert before in {Stage.FOUND, Stage.AGREED}
        if before in CLOSED:
            assert after is Stage.REPORTED


def _reachable(start: Stage) -> set[Stage]:
    seen, ahead = {start}, [start]
    while ahead:
        here = ahead.pop()
        for move in MOVES:
            if move.start is here and move.end not in seen:
                seen.add(move.end)
                ahead.append(move.end)
    return seen


@pytest.mark.parametrize("start", list(Stage))
def test_every_stage_can_still_come_to_every_end(start: Stage) -> None:
    assert _reachable(start) >= {Stage.RETURNED, Stage.GIVEN_UP, Stage.WITHDRAWN}


def test_a_proven_station_is_not_given_up() -> None:
    assert find_move(Stage.PROVEN, Stage.GIVEN_UP) is None


@pytest.mark.parametrize("move", MOVES, ids=lambda move: f"{move.start} to {move.end}")
def test_every_move_has_a_guard_in_words_and_somebody_who_may(move: object) -> None:
    assert move.guard  # type: ignore[attr-defined]
    assert move.roles  # type: ignore[attr-defined]
    assert not move.roles & OUTSIDERS  # type: ignore[attr-defined]


def test_a_subcontracted_tracer_may_find_and_nothing_else() -> None:
    ends = {move.end for move in MOVES if Role.TRACER in move.roles}
    assert ends == {Stage.FOUND}
    starts = {move.start for move in MOVES if Role.TRACER in move.roles}
    assert starts == {Stage.REPORTED, Stage.SCHEDULED}


@given(st.lists(st.sampled_from(Stage), min_size=1, max_size=12))
def test_a_fault_shows_the_least_advanced_of_its_open_stations(stages: list[Stage]) -> None:
    shown = least_advanced(stages)
    open_ones = [stage for stage in stages if stage not in CLOSED]
    assert shown in (open_ones or stages)
    assert all(ADVANCE[shown] <= ADVANCE[stage] for stage in open_ones or stages)
    assert (shown in CLOSED) == (not open_ones)


def test_a_fault_without_a_station_has_no_stage() -> None:
    with pytest.raises(ValueError, match="Expected at least one station"):
        least_advanced([])


OFFICE = {Role.OWNER, Role.WATER_MANAGER, Role.DISPATCHER}
OUR_FIELD = {Role.OWNER, Role.DISPATCHER, Role.TECHNICIAN}
FIELD = OUR_FIELD | {Role.TRACER}
CLOSERS = {Role.OWNER, Role.WATER_MANAGER}
MAY = {
    (Stage.REPORTED, Stage.SCHEDULED): OFFICE,
    (Stage.SCHEDULED, Stage.REPORTED): OFFICE,
    (Stage.REPORTED, Stage.FOUND): FIELD,
    (Stage.SCHEDULED, Stage.FOUND): FIELD,
    (Stage.FOUND, Stage.AGREED): OFFICE,
    (Stage.FOUND, Stage.MENDED): OUR_FIELD,
    (Stage.FOUND, Stage.SCHEDULED): OFFICE,
    (Stage.AGREED, Stage.MENDED): OUR_FIELD,
    (Stage.AGREED, Stage.FOUND): OFFICE,
    (Stage.MENDED, Stage.PROVEN): OUR_FIELD,
    (Stage.MENDED, Stage.FOUND): OUR_FIELD,
    (Stage.PROVEN, Stage.RETURNED): OUR_FIELD | CLOSERS,
    (Stage.PROVEN, Stage.FOUND): OUR_FIELD,
    (Stage.RETURNED, Stage.REPORTED): OFFICE,
    (Stage.GIVEN_UP, Stage.REPORTED): OFFICE,
    (Stage.WITHDRAWN, Stage.REPORTED): OFFICE,
    **{
        (start, Stage.GIVEN_UP): CLOSERS
        for start in (Stage.REPORTED, Stage.SCHEDULED, Stage.FOUND, Stage.AGREED, Stage.MENDED)
    },
    **{
        (start, Stage.WITHDRAWN): OFFICE for start in (Stage.REPORTED, Stage.SCHEDULED, Stage.FOUND)
    },
}


def test_the_table_of_moves_is_this_one_and_these_roles_may() -> None:
    assert {(move.start, move.end): set(move.roles) for move in MOVES} == MAY


def test_no_guard_holds_a_text_that_is_missing() -> None:
    assert not [move for move in MOVES if "None" in move.guard]


def test_a_closed_station_never_shows_before_an_open_one() -> None:
    for closed in CLOSED:
        for still_open in set(Stage) - CLOSED:
            assert least_advanced([closed, still_open]) is still_open
            assert least_advanced([still_open, closed]) is still_open
    assert least_advanced([Stage.WITHDRAWN, Stage.RETURNED, Stage.GIVEN_UP]) is Stage.RETURNED
