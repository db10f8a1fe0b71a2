"""The numbers, words and layouts of the phone's engine: Python has them, a script is written.

`python -m tests.architecture.guide` writes it.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import fields
from enum import Enum
from typing import Any

from faults.locating.engines import (
    assumptions,
    bands,
    belief,
    cases,
    distance_error,
    effects,
    gradients,
    ground,
    hearing,
    jumpers,
    line,
    measurements,
    openings,
    other_tests,
    plan,
    repeats,
    seen,
    shortened,
    summary,
    symptoms,
    tension,
    terrain,
    tones,
    walks,
    ways,
    why,
)
from faults.locating.engines.belief import Outside
from faults.locating.engines.options import Tools
from faults.locating.engines.plain import ENGINE_VERSION
from faults.locating.engines.plain_words import (
    READINGS,
    REQUIRED,
    STAND,
    CheckWord,
    ConductorWord,
    Layout,
)

FOLDER = "faults/locating/static/faults/locating"
HEAD = """\
// Generated from Python by `uv run python -m tests.architecture.guide`: change it there.
// A test compares the two. What each number rests on stands beside it in faults/locating/.
"""
# Each is a constant of the same name.
NUMBERS_OF = {
    line: ("CELL_FT", "JUST_BELOW"),
    symptoms: ("LEAST_TOLD",),
    distance_error: ("LEAST_SD_FT",),
    other_tests: ("LOGISTIC",),
    tones: ("FLAT_LEVEL",),
    terrain: ("MOST_REPEATED",),
    ways: ("LEAST_SETTLE_MIN",),
    plan: ("LEAST_SIDE", "ANY_WALK", "ALIKE"),
    hearing: ("LEAST_HEARD", "MOST_HEARD"),
    walks: ("LEAST_WALK", "LEAST_COMMON", "LEAST_WALKS", "MOST_WALKS", "WALKS_TIMES_GAPS"),
    measurements: ("DISTANCE_RESULTS",),
    gradients: ("LEAST_GRADIENT", "MOST_GRADIENTS"),
    jumpers: ("LEAST_NEWS", "LEAST_RENEWED", "MOST_JUMPERS"),
    openings: ("LEAST_OPENED",),
    ground: ("LEAST_DETECTS",),
    repeats: ("MOST_RUNNING",),
    shortened: ("MOST_LEGS", "PARTS"),
    bands: ("HEIGHTS", "LEFT_OF_IT"),
    summary: ("BANDS",),
    assumptions: ("TESTS", "WALKS", "NEVER_ZERO"),
}
NUMBERS_OF_CASES = (
    *("LEAST_CHANCE", "LEADS", "AS_GOOD_AS_FOUND", "THIRDS_NEED_FT"),
    *("OVER_LENGTH", "MOST_ERRORS", "LEAST_SECOND"),
)
SETS_OF_SYMPTOMS = (
    *("PASSES_TONE", "FINDS_BY_CLAMP", "FINDS_BY_EARTH", "FINDS_BY_JUMPER"),
    *("FINDS_BY_VOLTS", "GOES_ASTRAY", "RESISTIVE", "OTHERS_TELL_NOTHING"),
)

SETS_OF_CAUSES = (
    *("BEHIND", "IN_VALVE_BOX", "END_SPLICES", "SPARED"),
    *("SPOILS_CONTROLLER_SIDE", "SPOILS_VALVE_SIDE"),
)


def scripts() -> dict[str, str]:
    """Return what the scripts of data have to hold, by their paths.

    What only says why and what a test did stands by itself: the plan does not wait for it.
    """
    files = {f"{FOLDER}/data.js": _data(), f"{FOLDER}/telling_data.js": _of_telling()}
    return {
        path: HEAD + "\n" + "".join(_export(name, value) for name, value in data.items())
        for path, data in files.items()
    }


def _of_telling() -> dict[str, Any]:
    from faults.locating.services import shown

    tag = {kind.made: kind.tag for kind in READINGS}
    return {
        "CASE": _words(cases.Case),
        "BY_ITSELF": {symptom.value: case.value for symptom, case in cases.BY_ITSELF.items()},
        **{name: getattr(cases, name) for name in NUMBERS_OF_CASES},
        # The plan has another number of this name.
        "MOST_WALKED_OVER": cases.MOST_WALKS,
        "SHARES_ALIKE": effects.ALIKE,
        "HALF": why.HALF,
        "WORTH_SAYING": shown.WORTH_SAYING,
        "MOST_WALKED": shown.MOST_WALKED,
        "SURPRISE": shown.SURPRISE,
        "NO_CHANCE": shown.NO_CHANCE,
        "NUMBER_RESULTS": tension.RESULTS,
        "WALKED": {tag[kind]: names for kind, names in tension.WALKED.items()},
        "AT_ITS_POINT": [
            name for kind, name in tag.items() if issubclass(kind, tension.AT_ITS_POINT)
        ],
    }


def _data() -> dict[str, Any]:
    return {
        "ENGINE_VERSION": ENGINE_VERSION,
        # Each number by its default and the most that it may be.
        "NUMBERS": {
            each.name: [each.default, assumptions.most_of(each.name)]
            for each in fields(assumptions.Assumptions)
        },
        "SYMPTOM": _words(symptoms.Symptom),
        **{name: _in_order(getattr(symptoms, name)) for name in SETS_OF_SYMPTOMS},
        "READS": {symptom.value: reads for symptom, reads in symptoms.READS.items()},
        "WEIGHS": {symptom.value: weighs for symptom, weighs in symptoms.WEIGHS.items()},
        "HOW": assumptions.HOW,
        "OUTSIDE": _words(Outside),
        **{name: [each.value for each in getattr(belief, name)] for name in SETS_OF_CAUSES},
        "NUMBER_OF": {cause.value: name for cause, name in belief.NUMBER_OF.items()},
        "JOINT": _words(line.Joint),
        "SPLICE_SHARE": {joint.value: share for joint, share in line.SPLICE_SHARE.items()},
        "WORDS": {
            "conductor": [each.value for each in ConductorWord],
            "check": [each.value for each in CheckWord],
            "joint": [each.value for each in line.Joint],
            "wear": [each.value for each in seen.Wear],
            "ohms": [each.value for each in seen.Ohms],
            "third": [each.value for each in tones.Third],
        },
        "CHECKS": {
            CheckWord[check.name].value: cause.value for check, cause in other_tests.CHECKS.items()
        },
        **{
            name: [CheckWord[check.name].value for check in getattr(other_tests, name)]
            for name in ("AT_CONTROLLER", "AT_VALVE")
        },
        "READINGS": [
            {
                "tag": kind.tag,
                **({"needs": kind.needs} if kind.needs else {}),
                "layout": _layout(kind.layout),
            }
            for kind in READINGS
        ],
        "STAND": _layout(STAND),
        "TOOLS": {each.name: each.default for each in fields(Tools)},
        **{name: getattr(module, name) for module, names in NUMBERS_OF.items() for name in names},
        **_of_services(),
    }


def _of_services() -> dict[str, Any]:
    """Return what pages show by: Django has to be set up before their modules are read."""
    from faults.locating.services import shown, words

    return {
        "LEAST_SHOWN": words.LEAST_SHOWN,
        "ROUNDED_MIN": shown.ROUNDED_MIN,
    }


def _layout(layout: Layout) -> dict[str, list[Any]]:
    """Return each part's type, and what it is where it is not given."""
    return {
        part.name: [part.type] if part.default is REQUIRED else [part.type, part.default]
        for part in layout.parts
    }


def _words(kind: type[Enum]) -> dict[str, str]:
    return {each.name: each.value for each in kind}


def _in_order(some: Iterable[symptoms.Symptom]) -> list[str]:
    return [each.value for each in symptoms.Symptom if each in some]


def _export(name: str, value: object) -> str:
    """Return one constant; what has parts has a line for each."""
    if isinstance(value, Mapping):
        lines = "".join(f"  {_key(key)}: {_plain(each)},\n" for key, each in value.items())
        written = f"{{\n{lines}}}"
    elif isinstance(value, list | tuple) and isinstance(value[0], Mapping):
        written = "[\n" + "".join(f"  {_plain(each)},\n" for each in value) + "]"
    else:
        written = _plain(value)
    return f"export const {name} = {written};\n"


def _plain(value: object) -> str:
    """Write whole numbers as such."""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_plain(each) for each in value) + "]"
    if isinstance(value, Mapping):
        parts = (f"{_key(key)}: {_plain(each)}" for key, each in value.items())
        return "{ " + ", ".join(parts) + " }"
    return json.dumps(value)


def _key(name: str) -> str:
    return name if name.isidentifier() else json.dumps(name)
