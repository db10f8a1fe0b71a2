"""What must be thought of before a hole is dug: prompts by depth and by what is around it.

Facts, not legal advice; nothing here says that a hole is safe. The numbers of the rules were
read in copies of 29 CFR 1926; where a letter or number is from memory the rule says so.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

EGRESS_FROM_IN = 48
PROTECTION_FROM_IN = 60
DEEPEST_IN = 240


class TooDeep(ValueError):
    """Deeper than 20 ft: only an engineer's design may hold such a hole open."""


class Prompt(StrEnum):
    """One thing to see to before digging, or while the hole is open."""

    UTILITIES_FOUND = "utilities found"
    PRIVATE_LIGHTS = "private lines: lights"
    PRIVATE_POOL = "private lines: pool"
    PRIVATE_GAS = "private lines: gas to grills"
    PRIVATE_FIBRE = "private lines: site fibre"
    SPOIL_BACK = "spoil 2 ft from the edge"
    EGRESS = "way out within 25 ft"
    AIR_TESTED = "air tested"
    PROTECTIVE_SYSTEM = "protective system named"
    COMPETENT_PERSON = "competent person named"
    MAIN_SHUT = "main line shut or held"
    HAND_TOOLS = "hand tools only"
    WATER_OUT = "no standing water"
    TRAFFIC_GUARDED = "traffic guarded"
    WATER_REST_SHADE = "water, rest and shade"


class Situation(StrEnum):
    """What is around the hole, as ticked in the form."""

    PRESSURISED_MAIN_NEAR = "main line under pressure near"
    IN_TOLERANCE_ZONE = "within the tolerance zone of a utility"
    STANDING_WATER = "standing water"
    TRAFFIC = "traffic"
    HEAT = "heat"
    CAVE_IN_SIGNS = "signs of a cave-in"


class ProtectiveSystem(StrEnum):
    """What answers the prompt for a protective system; solid rock needs no other."""

    SLOPED = "sloped or benched"
    SHORED = "shored"
    SHIELDED = "shielded"
    STABLE_ROCK = "stable rock"


class PrivateLine(StrEnum):
    """What is known of private lines of one sort, which no utility marks."""

    MARKED = "marked"
    NONE_THERE = "none there"
    WAIVED = "waived"


# Each asked before any dig: by whom they were marked, who says that there are none, or who lets
# the dig go without. Our own practice: one-call centres have only operators' lines marked.
PRIVATE = (
    Prompt.PRIVATE_LIGHTS,
    Prompt.PRIVATE_POOL,
    Prompt.PRIVATE_GAS,
    Prompt.PRIVATE_FIBRE,
)


@dataclass(frozen=True, slots=True)
class Rule:
    """Where a prompt comes from, and whether a job stays open until it is answered.

    `OURS` as the source: our own practice, no source.
    """

    source: str
    is_required: bool = False
    # True where we have not seen the letter or number itself.
    is_from_memory: bool = False


OURS = "our own practice"

RULES = {
    Prompt.UTILITIES_FOUND: Rule("29 CFR 1926.651(b)(1), (3), (4)"),
    **dict.fromkeys(PRIVATE, Rule(OURS, is_required=True)),
    Prompt.SPOIL_BACK: Rule("29 CFR 1926.651(j)(2)", is_from_memory=True),
    Prompt.EGRESS: Rule("29 CFR 1926.651(c)(2); 1926.1053(b)(1)", is_from_memory=True),
    Prompt.AIR_TESTED: Rule("29 CFR 1926.651(g)"),
    Prompt.PROTECTIVE_SYSTEM: Rule("29 CFR 1926.652(a)(1)", is_required=True),
    Prompt.COMPETENT_PERSON: Rule("29 CFR 1926.651(k)(1)", is_required=True, is_from_memory=True),
    Prompt.MAIN_SHUT: Rule(OURS),
    Prompt.HAND_TOOLS: Rule("CGA Best Practices 5.20"),
    Prompt.WATER_OUT: Rule("29 CFR 1926.651(h)(1)"),
    Prompt.TRAFFIC_GUARDED: Rule("29 CFR 1926.651(d)", is_from_memory=True),
    Prompt.WATER_REST_SHADE: Rule("OSHA heat guide"),
}
_BY_DEPTH_IN = {
    0: (Prompt.UTILITIES_FOUND, *PRIVATE, Prompt.SPOIL_BACK),
    EGRESS_FROM_IN: (Prompt.EGRESS, Prompt.AIR_TESTED),
    PROTECTION_FROM_IN: (Prompt.PROTECTIVE_SYSTEM, Prompt.COMPETENT_PERSON),
}
_BY_SITUATION = {
    Situation.PRESSURISED_MAIN_NEAR: (Prompt.MAIN_SHUT,),
    Situation.IN_TOLERANCE_ZONE: (Prompt.HAND_TOOLS,),
    Situation.STANDING_WATER: (Prompt.WATER_OUT,),
    Situation.TRAFFIC: (Prompt.TRAFFIC_GUARDED,),
    Situation.HEAT: (Prompt.WATER_REST_SHADE,),
    # Below 5 ft too, once a competent person sees signs of a cave-in: 29 CFR 1926.652(a)(1).
    Situation.CAVE_IN_SIGNS: (Prompt.PROTECTIVE_SYSTEM, Prompt.COMPETENT_PERSON),
}


def prompts(depth_in: float, situations: Collection[Situation] = ()) -> list[Prompt]:
    """Return the prompts for a planned depth and what is around, each once, in order.

    Args:
        depth_in: of the hole, inches. The steps of 4 and 5 ft hold at exactly 48 and 60.

    Raises:
        TooDeep: over 240 in.
        ValueError: the depth is not above 0.
    """
    if depth_in > DEEPEST_IN:
        raise TooDeep(f"Expected depth_in <= {DEEPEST_IN}, got {depth_in}: an engineer's work")
    if not depth_in > 0:
        raise ValueError(f"Expected depth_in > 0, got {depth_in}")
    due = {p for start, some in _BY_DEPTH_IN.items() if depth_in >= start for p in some}
    due |= {p for situation in situations for p in _BY_SITUATION[situation]}
    return [prompt for prompt in Prompt if prompt in due]


def unanswered(due: Collection[Prompt], answers: Mapping[Prompt, str]) -> list[Prompt]:
    """Return the prompts that keep a job open: required ones without an answer."""
    return [
        prompt
        for prompt in due
        if RULES[prompt].is_required and not is_answer(prompt, answers.get(prompt, ""))
    ]


def is_answer(prompt: Prompt, words: str) -> bool:
    """Whether these words answer a prompt: of private lines, what is known and a name."""
    if prompt in PRIVATE:
        return private_said(words) is not None
    return bool(words.strip())


def private_words(state: str, by: str) -> str:
    """Return the answer that is kept of private lines; empty where nothing was said."""
    name = " ".join(by.split())
    return f"{state}: {name}" if state or name else ""


def private_said(words: str) -> tuple[PrivateLine, str] | None:
    """Return what is known of private lines and who says so; None where either is missing."""
    state, _colon, by = words.partition(":")
    if state not in list(PrivateLine) or not by.strip():
        return None
    return PrivateLine(state), by.strip()
