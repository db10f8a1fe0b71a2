"""The server's answer to a search, and whether the phone's is the same."""

from typing import Any

import numpy as np

from faults.locating.engines.plain import option_plain, stand_from
from faults.locating.engines.plain_search import search_from
from faults.locating.engines.summary import feet_of

Plain = dict[str, Any]
PROBABILITY, MINUTES, FEET = 1e-9, 1e-6, 1e-6
SHARES = ("before", "beyond", "finds")


def by_python(search: Plain, stand: Plain) -> Plain:
    """Return what the phone should answer: figures, or the name of what it refused."""
    try:
        read = search_from(search)
        belief, feet = read.belief, feet_of(read.belief)
        options = read.plan(stand_from(stand, read.ids))
    except ValueError as error:
        return {"error": type(error).__name__, "words": str(error)}
    return {
        "legs": belief.by_leg.tolist(),
        "splices": belief.splice.tolist(),
        "outside": {cause.value: mass for cause, mass in belief.outside.items()},
        "feet": feet and {"low": feet.low, "middle": feet.middle, "high": feet.high},
        "options": [option_plain(option, read.ids) for option in options],
    }


def same_belief(python: Plain, phone: Plain) -> None:
    """Compare what is believed."""
    assert list(phone["outside"]) == list(python["outside"])
    for name in ("legs", "splices"):
        _close(name, python[name], phone[name], PROBABILITY)
    causes = [list(each["outside"].values()) for each in (python, phone)]
    _close("outside", *causes, PROBABILITY)
    feet = [list((each["feet"] or {}).values()) for each in (python, phone)]
    _close("feet", *feet, FEET)


def same_plan(python: Plain, phone: Plain) -> None:
    """Compare the actions, their order and their figures."""
    ours, theirs = python["options"], phone["options"]
    actions = [[each["action"] for each in options] for options in (ours, theirs)]
    assert actions[0] == actions[1], f"Python ranks {actions[0]}, the phone {actions[1]}"
    for names, bar in ((("minutes", "own_min"), MINUTES), (SHARES, PROBABILITY)):
        for name in names:
            _close(name, *([option[name] for option in each] for each in (ours, theirs)), bar)


def _close(name: str, python: list[float], phone: list[float], bar: float) -> None:
    assert len(python) == len(phone), f"{name}: {len(python)} in Python, {len(phone)} on the phone"
    furthest = float(np.abs(np.subtract(python, phone)).max(initial=0.0))
    assert furthest < bar, f"{name}: {python} in Python, {phone} on the phone"
