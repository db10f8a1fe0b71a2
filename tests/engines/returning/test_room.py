"""Room for a station: enough is never too little, and is exact where one has to go."""

from random import Random

import pytest

from reports.returning.engines.choosing import (
    Candidate,
    Load,
    Problem,
    choose,
    needs_worth,
    replace_worth,
)
from reports.returning.engines.room import enough_worth


def one_hour(*rows: tuple[float | None, float, str], money: float | None = None) -> Problem:
    """Stations (worth, own minutes, set-ups), an hour in all; set-ups p and q take 20 minutes."""
    return Problem(
        [Candidate(n, worth, Load(own, own), tuple(s)) for n, (worth, own, s) in enumerate(rows)],
        {"p": Load(20), "q": Load(20)},
        60,
        money,
    )


@pytest.mark.parametrize(
    ("own", "enough"),
    [
        (10, 0.0),  # Ten minutes are left.
        (10.5, 30.0),  # The weakest for a minute goes, not the cheapest.
        (40, 90.0),
        (60, 140.0),
        (60.5, None),  # Never.
    ],
)
def test_the_weakest_are_let_go_until_it_fits(own: float, enough: float | None) -> None:
    """By hand: 50 in 10 minutes, 60 in 20, 30 in 20; ten of the hour are left."""
    problem = one_hour((50, 10, ""), (60, 20, ""), (30, 20, ""), (None, own, ""))
    assert enough_worth(problem, 3, choose(problem)) == (
        None if enough is None else pytest.approx(enough)
    )


def test_a_set_up_that_is_open_is_not_paid_again() -> None:
    """By hand: 20 of set-up and 30 of its own; ten minutes are left for who shares it."""
    problem = one_hour((50, 30, "p"), (None, 10, "p"), (None, 10, "q"))
    best = choose(problem)
    assert enough_worth(problem, 1, best) == 0
    assert enough_worth(problem, 2, best) == pytest.approx(50)


def test_money_is_a_limit_too() -> None:
    problem = one_hour((50, 10, ""), (None, 10, ""), (None, 16, ""), money=15)
    best = choose(problem)
    assert enough_worth(problem, 1, best) == pytest.approx(50)
    assert enough_worth(problem, 2, best) is None


def test_one_of_the_set_needs_what_its_leaving_would_free() -> None:
    problem = one_hour((50, 30, ""), (40, 30, ""))
    assert enough_worth(problem, 0, choose(problem)) == pytest.approx(50)


@pytest.mark.parametrize("seed", range(60))
def test_it_is_never_less_than_what_is_exactly_needed_and_brings_it_in(seed: int) -> None:
    random = Random(seed)
    names = ["p", "q", "r"]
    rows = [
        Candidate(
            n,
            None if n == 0 else random.uniform(1, 100),
            Load(random.choice([0, 5, 12, 31])),
            tuple(random.sample(names, random.randint(0, 2))),
        )
        for n in range(8)
    ]
    problem = Problem(rows, {name: Load(random.uniform(5, 25)) for name in names}, 70)
    best = choose(problem)
    exact, enough = needs_worth(problem, 0, best), enough_worth(problem, 0, best)
    assert (exact is None) == (enough is None)
    if exact is None or enough is None:
        return
    assert enough >= exact - 1e-6
    assert 0 in choose(replace_worth(problem, 0, enough + 0.01)).keys
