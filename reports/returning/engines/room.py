"""How much a station has to be worth so that room is made for it: quick, and never too little.

`needs_worth` answers exactly by a problem of its own; where thousands ask, this answers by
letting go of those of the best set that bring least for their minutes. Another way to make room
may cost less, so that the answer is enough, and may be more than enough.
"""

from reports.returning.engines.choosing import Chosen, Problem


def enough_worth(problem: Problem, key: int, best: Chosen) -> float | None:
    """Return a worth from which on a station surely belongs into the best set.

    None where it never fits, whoever is let go.
    """
    if not problem.fits([key]):
        return None
    kept = sorted(best.keys - {key}, key=lambda each: (-_for_a_minute(problem, each), each))
    while not problem.fits([*kept, key]):
        kept.pop()
    with_it = problem.worth_of([*kept, key]) - (problem.by_key[key].worth or 0.0)
    return max(0.0, best.worth - with_it)


def _for_a_minute(problem: Problem, key: int) -> float:
    """Return what one of the set brings for a minute of its own."""
    one = problem.by_key[key]
    return (one.worth or 0.0) / max(one.own.minutes, 1.0)
