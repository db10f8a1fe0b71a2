"""Searches by hand: follow the page's first advice on made-up faults, and print all it says.

uv run python -m tests.bench.by_hand            every case
uv run python -m tests.bench.by_hand 5 6        these cases

It asks the functions of the page (`beliefs`, `shown`, `finding_words`). Nothing is measured: a
person reads what is printed, as a wire tracer would.
"""

import argparse
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from faults.locating.services.beliefs import Believed
    from tests.bench.hand_tester import Case

LONGEST_STEPS = 30


def main() -> None:
    """Print each case, step by step."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("cases", nargs="*", type=int, help="numbers of cases (all)")
    chosen = parser.parse_args().cases
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")
    # Django reads its settings when it is first imported.
    import django

    django.setup()
    from tests.bench.hand_cases import CASES

    for number, case in enumerate(CASES, 1):
        if not chosen or number in chosen:
            print(f"\n=== {number}. {case.name}")
            _print(case)


@dataclass(frozen=True)
class Step:
    """One step of a search: the advice, what it was told, and what is said after it."""

    action: Any
    words: str
    why: str
    own_min: float
    total_min: float
    told: tuple[str, ...]
    likely: str
    findings: tuple[str, ...]


def steps_of(case: "Case") -> list[Step]:
    """Follow the first advice until the station runs; what is told once is kept."""
    from faults.locating.engines.actions import OpenBox, OpenGround
    from tests.bench.hand_tester import FoundError, Tester, said_on, with_box

    tester, said = Tester(case), list(case.known)
    steps: list[Step] = []
    state = _state(case, said)
    while len(steps) < LONGEST_STEPS:
        advice = _advice(state)
        if advice is None:
            break
        option, words, why = advice
        action = option.action
        if isinstance(action, OpenGround):
            # Its box is entered on the leg, and tested as any.
            case, leg = with_box(case, action), action.leg
            tester, said = tester.on(case, leg), [said_on(each, leg) for each in said]
            action = OpenBox(leg + 1)
        told: list[Any] = []
        ended = False
        try:
            for each in tester.does(action):
                told.append(each)
        except FoundError:
            ended = True
        said += told
        if told and not ended:
            state = _state(case, said)
        steps.append(_step(option, words, why, told, state, ended))
        if ended:
            return steps
    return steps


def _print(case: "Case") -> None:
    state = _state(case, case.known)
    print(f"    before: {_likely(state)}")
    for words in _findings(state):
        print(f"    ! {words}")
    steps = steps_of(case)
    known = set(_findings(state))
    for number, step in enumerate(steps, 1):
        minutes = f"{step.own_min:.0f} of {step.total_min:.0f} min"
        print(f"{number:3}. {step.words}  [{step.why}]  {minutes}")
        for words in step.told:
            print(f"     > {words}")
        print(f"     = {step.likely}")
        for words in step.findings:
            if words not in known:
                print(f"     ! {words}")
        known = set(step.findings)
    total = sum(step.own_min for step in steps)
    print(f"    {len(steps)} steps, {total:.0f} min at most")


def _step(
    option: Any, words: str, why: str, told: Sequence[Any], state: "Believed", ended: bool
) -> Step:
    from faults.locating.services.said import said_words

    parts = [_said(each, state, said_words) for each in told]
    if ended:
        parts.append("FOUND: it runs")
    likely = "" if ended else _likely(state)
    findings = () if ended else tuple(_findings(state))
    return Step(
        option.action, words, why, option.own_min, option.minutes, tuple(parts), likely, findings
    )


def _said(each: Any, state: "Believed", said_words: Any) -> str:
    if each["kind"] == "mended" and not each.get("check"):
        return f"mended {each}, still dead"
    return str(said_words(each, state.ground))


def _state(case: "Case", said: Sequence[Any]) -> "Believed":
    from datetime import datetime

    from faults.locating.engines.assumptions import Assumptions
    from faults.locating.engines.surroundings import Surroundings
    from faults.locating.services.beliefs import believed
    from faults.locating.services.known import Known
    from faults.locating.services.line import SearchGround
    from faults.locating.services.neighbours import Master, Others
    from faults.locating.services.numbers import Assumed
    from faults.models import Fault, Search, SearchReading
    from sites.models import Property

    line = case.line
    points, legs = tuple(range(len(line.legs) + 1)), tuple(range(len(line.legs)))
    names = {
        0: "clock",
        len(line.legs): "valve",
        **{i: box.name for i, box in enumerate(line.boxes, 1)},
    }
    running = sum(each.works for each in case.neighbours)
    others = Others(
        case.neighbours, running, len(case.neighbours) - running, master=Master.NOT_KNOWN
    )
    ground = SearchGround(line, points, legs, names, {}, (), {}, None, others, Property())
    now = datetime(2026, 7, 1, tzinfo=UTC)
    known = [Known(each, "", now, SearchReading(kind=each["kind"], said=each)) for each in said]
    search = Search(tools=list(case.tools), may_cut=True)
    return believed(
        ground,
        Fault(symptom=case.symptom),
        Assumed(Assumptions(), Surroundings()),
        search=search,
        known=known,
        spares=case.spares,
    )


def _advice(state: "Believed") -> Any:
    from faults.locating.engines.why import why
    from faults.locating.services.shown import why_words
    from faults.locating.services.standing import last_stand
    from faults.locating.services.words import action_words

    stand = last_stand(state)
    options = state.options(stand)
    if not options or state.belief is None:
        return None
    best = options[0]
    facts = why(best, state.belief, stand, options)
    return (
        best,
        action_words(best.action, state.ground),
        why_words(best, facts, state.ground, stand),
    )


def _likely(state: "Believed") -> str:
    from faults.locating.services.words import place_lines

    if state.belief is None:
        return "nothing fits any more"
    lines, _ = place_lines(state.belief, state.ground)
    shown = ", ".join(f"{each.words} {each.probability:.0%}" for each in lines[:5])
    return f"{shown}; two {state.searcher.state.p_two:.0%}"


def _findings(state: "Believed") -> list[str]:
    from faults.locating.engines.cases import About
    from faults.locating.services.finding_words import finding_lines
    from faults.locating.services.standing import last_stand

    about = About(symptom=state.searcher.symptom, stand=last_stand(state))
    return [line.words for line in finding_lines(state, about)]


if __name__ == "__main__":
    main()
