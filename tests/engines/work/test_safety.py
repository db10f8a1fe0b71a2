"""Prompts before a dig, by depth and by what is around it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faults.work.engines.safety import (
    PRIVATE,
    RULES,
    PrivateLine,
    Prompt,
    ProtectiveSystem,
    Situation,
    TooDeep,
    is_answer,
    private_said,
    private_words,
    prompts,
    unanswered,
)

ALWAYS = [Prompt.UTILITIES_FOUND, *PRIVATE, Prompt.SPOIL_BACK]
FROM_FOUR_FEET = [*ALWAYS, Prompt.EGRESS, Prompt.AIR_TESTED]
FROM_FIVE_FEET = [*FROM_FOUR_FEET, Prompt.PROTECTIVE_SYSTEM, Prompt.COMPETENT_PERSON]


# 29 CFR 1926.651(c)(2), 651(g) and 652(a)(1) (found in copies): 4 ft or deeper, from 5 ft.
@pytest.mark.parametrize(
    ("depth_in", "due"),
    [
        (1, ALWAYS),
        (47, ALWAYS),
        (47.9, ALWAYS),
        (48, FROM_FOUR_FEET),
        (59, FROM_FOUR_FEET),
        (60, FROM_FIVE_FEET),
        (240, FROM_FIVE_FEET),
    ],
)
def test_prompts_by_depth(depth_in: float, due: list[Prompt]) -> None:
    assert prompts(depth_in) == due


def test_over_twenty_feet_is_an_engineers_work() -> None:
    # 29 CFR 1926.652 (found in a copy).
    with pytest.raises(TooDeep, match=r"depth_in <= 240, got 240\.5"):
        prompts(240.5)


# 1926.651(h)(1) and CGA 5.20 found; 651(d) from memory; the main line is our own practice.
@pytest.mark.parametrize(
    ("situation", "prompt"),
    [
        (Situation.PRESSURISED_MAIN_NEAR, Prompt.MAIN_SHUT),
        (Situation.IN_TOLERANCE_ZONE, Prompt.HAND_TOOLS),
        (Situation.STANDING_WATER, Prompt.WATER_OUT),
        (Situation.TRAFFIC, Prompt.TRAFFIC_GUARDED),
        (Situation.HEAT, Prompt.WATER_REST_SHADE),
    ],
)
def test_prompts_by_what_is_around(situation: Situation, prompt: Prompt) -> None:
    assert prompts(18, [situation]) == [*ALWAYS, prompt]


def test_signs_of_a_cave_in_ask_for_protection_at_any_depth() -> None:
    # 29 CFR 1926.652(a)(1) (found in a copy): below 5 ft too.
    shallow = prompts(30, [Situation.CAVE_IN_SIGNS])
    assert shallow == [*ALWAYS, Prompt.PROTECTIVE_SYSTEM, Prompt.COMPETENT_PERSON]
    assert prompts(60, [Situation.CAVE_IN_SIGNS]) == FROM_FIVE_FEET


# Found in copies of 29 CFR 1926, but for (j), (k) and 1053(b)(1), whose letters or numbers are
# from memory.
@pytest.mark.parametrize(
    ("prompt", "cited"),
    [
        (Prompt.UTILITIES_FOUND, "651(b)(1), (3), (4)"),
        (Prompt.SPOIL_BACK, "651(j)(2)"),
        (Prompt.EGRESS, "651(c)(2)"),
        (Prompt.EGRESS, "1053(b)(1)"),
        (Prompt.AIR_TESTED, "651(g)"),
        (Prompt.PROTECTIVE_SYSTEM, "652(a)(1)"),
        (Prompt.COMPETENT_PERSON, "651(k)(1)"),
        (Prompt.WATER_OUT, "651(h)(1)"),
        (Prompt.HAND_TOOLS, "CGA Best Practices 5.20"),
    ],
)
def test_a_prompt_cites_its_rule(prompt: Prompt, cited: str) -> None:
    assert cited in RULES[prompt].source


def test_every_prompt_has_a_rule_and_every_situation_a_prompt() -> None:
    assert set(RULES) == set(Prompt)
    assert all(len(prompts(18, [situation])) > len(ALWAYS) for situation in Situation)


MARKED = dict.fromkeys(PRIVATE, "marked: Ann")
NAMED = {
    Prompt.PROTECTIVE_SYSTEM: ProtectiveSystem.SHORED,
    Prompt.COMPETENT_PERSON: "R. Ortiz",
}


@pytest.mark.parametrize(
    ("answers", "still"),
    [
        ({}, [Prompt.PROTECTIVE_SYSTEM, Prompt.COMPETENT_PERSON]),
        (NAMED | {Prompt.COMPETENT_PERSON: "  "}, [Prompt.COMPETENT_PERSON]),
        (NAMED, []),
    ],
)
def test_a_deep_job_stays_open_until_both_are_named(
    answers: dict[Prompt, str], still: list[Prompt]
) -> None:
    assert unanswered(prompts(60), {**MARKED, **answers}) == still


def test_a_shallow_job_is_not_kept_open_by_its_depth() -> None:
    assert unanswered(prompts(59), MARKED) == []


@pytest.mark.parametrize("depth_in", [0, -3, float("nan")])
def test_a_depth_that_is_none_is_refused(depth_in: float) -> None:
    with pytest.raises(ValueError, match="depth_in > 0"):
        prompts(depth_in)


depths = st.floats(0.1, 240)


@given(depths, depths, st.frozensets(st.sampled_from(Situation)))
def test_a_deeper_hole_never_needs_fewer_prompts(
    one: float, other: float, situations: frozenset[Situation]
) -> None:
    shallow, deep = sorted([one, other])
    assert set(prompts(shallow, situations)) <= set(prompts(deep, situations))


@pytest.mark.parametrize(
    ("state", "by", "words", "said"),
    [
        ("marked", " Ann  Lee ", "marked: Ann Lee", (PrivateLine.MARKED, "Ann Lee")),
        ("none there", "Bo", "none there: Bo", (PrivateLine.NONE_THERE, "Bo")),
        ("waived", "Cy: owner", "waived: Cy: owner", (PrivateLine.WAIVED, "Cy: owner")),
        ("waived", " ", "waived: ", None),
        ("", "Ann", ": Ann", None),
        ("hidden", "Ann", "hidden: Ann", None),
        ("", "", "", None),
    ],
)
def test_private_lines_need_what_is_known_and_a_name(
    state: str, by: str, words: str, said: tuple[PrivateLine, str] | None
) -> None:
    assert private_words(state, by) == words
    assert private_said(words) == said
    assert is_answer(Prompt.PRIVATE_POOL, words) is (said is not None)


def test_every_sort_of_private_line_holds_a_dig_back_until_it_is_answered() -> None:
    answers = dict.fromkeys(PRIVATE, "marked: Ann")
    assert unanswered(prompts(18), answers) == []
    for prompt in PRIVATE:
        assert unanswered(prompts(18), {**answers, prompt: "yes"}) == [prompt]
        assert unanswered(prompts(18), {**answers, prompt: "waived:"}) == [prompt]
    assert unanswered(prompts(18), {}) == list(PRIVATE)
