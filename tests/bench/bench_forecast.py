"""Whether the bands of "when will all be back" hold, on companies whose truth is known.

    uv run python -m tests.bench.bench_forecast                 400 made-up companies
    uv run python -m tests.bench.bench_forecast --runs 40 --seed 3

The product's own engine learns from two and a half years of a company and forecasts the next;
bands are widened where its past forecasts failed, as the product does. That is held against what
then came, and so are "as many as now" and a straight line. Bar: 90 % bands hold 86 to 94 % of the
time, over all horizons, and the forecast scores better than both.
"""

import argparse
from collections.abc import Iterable, Iterator

import numpy as np

from reports.ahead.engines.forecast import learn, look_ahead
from reports.ahead.engines.past import MONTH
from reports.ahead.engines.scoring import (
    Held,
    Scores,
    back_test,
    held_against,
    monthly,
    score,
    widening,
)
from tests.bench.companies import company

MONTHS = (1, 3, 6, 12)
LOWEST, HIGHEST = 0.86, 0.94


def held(runs: int, seed: int) -> Iterator[Held]:
    """Forecast each company, and hold it against what came."""
    for number in range(seed, seed + runs):
        one = company(number)
        learned = learn(one.past, np.random.default_rng([number, 5]))
        if learned is None:
            continue
        ahead = look_ahead(one.past, learned, weeks=53, seed=number)
        counts = monthly(one.past)
        factor = widening(back_test(one.past, seed=number))
        for months in MONTHS:
            yield held_against(months, ahead, counts, one.off(MONTH * months), factor=factor)


def lines(name: str, found: Iterable[Held]) -> Iterator[str]:
    """Yield the row of a table."""
    every = list(found)
    sums = score(every)
    if sums is not None:
        parts = [f"{100 * sums.ours.inside / sums.forecasts:5.1f}",
                 f"{100 * sums.inside_half / sums.forecasts:5.1f}"]  # fmt: skip
        for each in (sums.ours, sums.same, sums.line):
            parts.append(f"{each.error:6.1f} {each.score:7.1f}")
        yield f"| {name} | {sums.forecasts} | " + " | ".join(parts) + " |"


def main() -> None:
    """Print the table, and fail where the bar is not met."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=400)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    every = list(held(asked.runs, asked.seed))
    print("| ahead | forecasts | in 90 %, % | in 50 %, % | error, score | as now | line |")
    print("|---|---|---|---|---|---|---|")
    for months in MONTHS:
        print(*lines(f"{months} mo", (one for one in every if one.months == months)), sep="\n")
    print(*lines("all", every), sep="\n")
    sums = score(every)
    if not is_met(sums):
        raise SystemExit("over the bar")


def is_met(sums: Scores | None) -> bool:
    """Whether bands hold as often as they say, and the forecast beats both simple rules."""
    return (
        sums is not None
        and LOWEST <= sums.ours.inside / sums.forecasts <= HIGHEST
        and sums.ours.score < min(sums.same.score, sums.line.score)
    )


if __name__ == "__main__":
    main()
