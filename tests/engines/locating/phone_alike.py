"""The server's answer to a search, and whether the phone's is the same."""

from typing import Any

import numpy as np

from faults.locating.engines.belief import Contradiction
from faults.locating.engines.cases import About, Finding, findings
from faults.locating.engines.effects import Did, effects_of, moved
from faults.locating.engines.plain import option_plain, stand_from
from faults.locating.engines.plain_search import search_from
from faults.locating.engines.summary import feet_of
from faults.locating.engines.why import Why, why

Plain = dict[str, Any]
PROBABILITY, MINUTES, FEET = 1e-9, 1e-6, 1e-6
SHARES = ("before", "beyond", "finds")
# Of a finding what it is about, and of why an action ranks what is no share of the plan's own.
ABOUT = ("readings", "points", "legs", "by_leg")
FACTS = ("point", "halves", "is_here", "is_open", "is_on_the_way", "is_nearest", "walked_in_vain")
TOLD = 1e-6


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


def told_by_python(search: Plain, stand: Plain, **about: float) -> Plain:
    """Return what there is to tell: what each test did, each finding, why each action ranks so."""
    searcher = search_from(search)
    here = stand_from(stand, searcher.ids)
    did = effects_of(searcher.begun, searcher.counted)
    try:
        belief, options = searcher.belief, searcher.plan(here)
    except Contradiction:
        belief, options = None, []
    found = findings(
        searcher.before,
        searcher.counted[: len(did)],
        searcher.adapted,
        belief,
        About(searcher.symptom, searcher.soil_is_dry, stand=here, **about),
    )
    return {
        "effects": [_did(each) for each in did],
        "findings": [_finding(each) for each in found],
        "reasons": [_why(why(each, belief, here, options)) for each in options if belief],
    }


def _did(did: Did) -> Plain:
    most = moved(did.before, did.after) if did.after else None
    return {"chance": did.chance, "moved": most and {**vars(most), "kind": most.kind.value}}


def _finding(finding: Finding) -> Plain:
    parts = {name: list(getattr(finding, name)) for name in ABOUT}
    return {"case": finding.case.value, "figures": dict(finding.figures), **parts}


def _why(facts: Why) -> Plain:
    return {name: getattr(facts, name) for name in FACTS}


def same_telling(python: Plain, phone: Plain) -> None:
    """Compare what there is to tell: what is named by its words, and the figures."""
    assert _named(python) == _named(phone)
    ours, theirs = _figures(python), _figures(phone)
    assert [name for name, _ in ours] == [name for name, _ in theirs]
    for (name, one), (_, other) in zip(ours, theirs, strict=True):
        # A number of an instrument is as likely as its error is small: as a share of it.
        assert abs(one - other) <= TOLD * max(1.0, abs(one)), (name, one, other)


def _named(told: Plain) -> Any:
    """All that is no figure."""
    return (
        [
            each["moved"] and (each["moved"]["kind"], each["moved"]["index"])
            for each in told["effects"]
        ],
        [(each["case"], *(each[name] for name in ABOUT[:3])) for each in told["findings"]],
        told["reasons"],
    )


def _figures(told: Plain) -> list[tuple[str, float]]:
    found = []
    for each in told["effects"]:
        shares = each["moved"] or {}
        found += [("chance", each["chance"])]
        found += [(name, shares[name]) for name in ("start", "end") if shares]
    for each in told["findings"]:
        found += [(f"{each['case']}: {name}", value) for name, value in each["figures"].items()]
        found += [(each["case"], share) for share in each["by_leg"]]
    return found


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
