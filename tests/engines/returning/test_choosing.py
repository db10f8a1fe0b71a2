"""The best set with shared set-ups: published knapsacks, our own cases, brute force, laws."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.returning.engines.choosing import (
    Candidate,
    Chosen,
    Load,
    Problem,
    choose,
    curve,
    needs_worth,
    replace_worth,
)

SetUps = dict[str, float]
Rows = Sequence[tuple[float, float, str]]


def problem_of(rows: Rows, set_ups: SetUps, minutes: float) -> Problem:
    """Make a problem of rows (worth, own minutes, a letter for each set-up)."""
    return Problem(
        [
            Candidate(n, worth, Load(own), tuple(names))
            for n, (worth, own, names) in enumerate(rows)
        ],
        {name: Load(each) for name, each in set_ups.items()},
        minutes,
    )


def by_hand(problem: Problem) -> float:
    """Return the greatest worth over all sets."""
    keys = [one.key for one in problem.candidates]
    sets = (each for n in range(len(keys) + 1) for each in combinations(keys, n))
    return max(problem.worth_of(each) for each in sets if problem.fits(each))


# Our own examples; their optima come from full enumeration and from integer programming, equal.
K1 = [
    (60, 10, "p"), (50, 15, "p"), (45, 20, "p"), (70, 25, "q"), (40, 10, "q"), (55, 30, "r"),
    (30, 5, "r"),
]  # fmt: skip
K1_SETS: SetUps = {"p": 20, "q": 25, "r": 15}
K2 = [
    (900, 300, "N"), (640, 220, "N"), (410, 150, "N"), (1200, 500, "M"), (700, 260, "M"),
    (330, 90, "S"), (520, 200, "S"), (260, 80, "S"), (150, 40, "E"),
]  # fmt: skip
K2_SETS: SetUps = {"N": 400, "M": 250, "S": 350, "E": 120}
K3 = [
    (80, 12, "xy"), (65, 9, "y"), (90, 20, "xz"), (40, 6, "z"), (75, 14, "yz"), (30, 5, "x"),
    (55, 11, "w"), (48, 8, "wx"),
]  # fmt: skip
K3_SETS: SetUps = {"x": 15, "y": 10, "z": 12, "w": 18}


@pytest.mark.parametrize(
    ("rows", "set_ups", "minutes", "worth"),
    [
        (K1, K1_SETS, 100, 195),
        (K1, K1_SETS, 99, 195),
        (K1, K1_SETS, 80, 155),
        (K2, K2_SETS, 1500, 2310),
        (K2, K2_SETS, 1200, 2050),
        (K3, K3_SETS, 75, 225),
        (K3, K3_SETS, 60, 180),
    ],
)
def test_shared_set_ups_are_paid_once(
    rows: Rows, set_ups: SetUps, minutes: float, worth: float
) -> None:
    problem = problem_of(rows, set_ups, minutes)
    found = choose(problem)
    assert found.worth == pytest.approx(worth)
    assert found.is_proven
    assert problem.fits(found.keys)
    assert found.load.minutes <= minutes


def test_of_two_sets_worth_the_same_the_shorter_is_taken() -> None:
    # A B C E takes 100 minutes, A B F G 95.
    assert choose(problem_of(K1, K1_SETS, 100)).load.minutes == 95


def test_the_worth_of_the_best_set_at_1500() -> None:
    found = choose(problem_of(K2, K2_SETS, 1500))
    assert (found.keys, found.load.minutes) == (frozenset({3, 5, 6, 7}), 1470)


@pytest.mark.parametrize(
    ("worths", "minutes", "limit", "worth", "keys"),
    [
        # Knapsack P01 of the Florida State University collection (J. Burkardt, knapsack_01).
        (
            [92, 57, 49, 68, 60, 43, 67, 84, 87, 72], [23, 31, 29, 44, 53, 38, 63, 85, 89, 82],
            165, 309, {0, 1, 2, 3, 5},
        ),
        # P05 of the same collection, as printed by its Fortran test program.
        (
            [350, 400, 450, 20, 70, 8, 5, 5], [25, 35, 45, 5, 25, 3, 2, 2], 104, 900,
            {0, 2, 3, 4, 6, 7},
        ),
        # The example of `knapsack` in the R package adagio.
        (
            [15, 100, 90, 60, 40, 15, 10, 1], [2, 20, 20, 30, 40, 30, 60, 10], 102, 280,
            {0, 1, 2, 3, 5},
        ),
    ],
)  # fmt: skip
def test_without_set_ups_it_is_the_plain_knapsack(
    worths: list[float], minutes: list[float], limit: float, worth: float, keys: set[int]
) -> None:
    rows = [(each, own, "") for each, own in zip(worths, minutes, strict=True)]
    found = choose(problem_of(rows, {}, limit))
    assert found.worth == pytest.approx(worth)
    assert found.keys == keys


def _drawn(random: Random) -> Problem:
    names = "abcd"[: random.randint(1, 4)]
    rows = [
        (
            random.choice([0, random.randint(-5, 60), random.random() * 40]),
            random.randint(0, 30),
            "".join(random.sample(names, random.randint(0, min(2, len(names))))),
        )
        for _n in range(random.randint(1, 9))
    ]
    return problem_of(rows, {name: random.randint(0, 25) for name in names}, random.randint(0, 120))


def test_a_thousand_small_cases_equal_brute_force() -> None:
    random = Random(20261129)
    for _n in range(1000):
        problem = _drawn(random)
        found = choose(problem)
        assert problem.fits(found.keys)
        assert found.worth == pytest.approx(by_hand(problem))
        assert all((problem.by_key[key].worth or 0) > 0 for key in found.keys)


def test_a_set_up_that_takes_off_the_worth_equals_brute_force() -> None:
    random = Random(5)
    for _n in range(300):
        problem = replace(_drawn(random), off_worth={})
        off = {name: float(random.randint(0, 40)) for name in problem.set_ups}
        problem = replace(problem, off_worth=off)
        found = choose(problem)
        assert problem.fits(found.keys)
        assert found.worth == pytest.approx(by_hand(problem))
        for one in problem.candidates[:2]:
            needs = needs_worth(problem, one.key, found)
            if needs is not None:
                rich = replace_worth(problem, one.key, needs + 0.01)
                assert one.key in choose(rich).keys


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.floats(0, 60))
def test_more_hours_never_lower_the_worth(seed: int, more: float) -> None:
    problem = _drawn(Random(seed))
    found = curve(problem, [problem.minutes, problem.minutes + more])
    assert found[1].worth >= found[0].worth - 1e-6


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9))
def test_renaming_and_another_order_change_nothing(seed: int) -> None:
    problem = _drawn(Random(seed))
    other = Problem(
        [
            Candidate(900 - one.key, one.worth, one.own, tuple(f"{name}!" for name in one.set_ups))
            for one in reversed(problem.candidates)
        ],
        {f"{name}!": load for name, load in problem.set_ups.items()},
        problem.minutes,
    )
    assert choose(other).worth == pytest.approx(choose(problem).worth)


def test_a_set_up_split_in_two_changes_nothing() -> None:
    whole = problem_of(K1, K1_SETS, 100)
    halves = {"p": ("p1", "p2"), "q": ("q",), "r": ("r",)}
    split = Problem(
        [
            Candidate(one.key, one.worth, one.own, halves[one.set_ups[0]])
            for one in whole.candidates
        ],
        {"p1": Load(12), "p2": Load(8), "q": Load(25), "r": Load(15)},
        100,
    )
    assert choose(split).worth == pytest.approx(195)


def test_what_is_not_known_is_never_chosen_and_says_from_which_worth_it_would_be() -> None:
    rows = [(60.0, 10.0, "p"), (50.0, 15.0, "p"), (20.0, 40.0, "")]
    known = problem_of(rows, {"p": 20}, 45)
    problem = Problem(
        [*known.candidates, Candidate(9, None, Load(30), ())], known.set_ups, known.minutes
    )
    best = choose(problem)
    assert best.keys == {0, 1}
    needs = needs_worth(problem, 9, best)
    # With its 30 minutes nothing of the others is left: it has to be worth all of them.
    assert needs == pytest.approx(110)
    assert choose(replace_worth(problem, 9, 109.9)).keys == {0, 1}
    assert choose(replace_worth(problem, 9, 110.1)).keys == {9}


def test_what_shares_the_set_ups_of_the_best_set_needs_less() -> None:
    problem = Problem(
        [*problem_of(K1, K1_SETS, 100).candidates, Candidate(9, None, Load(5), ("p",))],
        {name: Load(each) for name, each in K1_SETS.items()},
        100,
    )
    # A B F G takes 95: five minutes are left, and the set-up is paid already.
    assert needs_worth(problem, 9, choose(problem)) == pytest.approx(0)


def test_one_that_is_in_says_how_far_its_worth_may_fall() -> None:
    problem = problem_of(K1, K1_SETS, 80)
    best = choose(problem)
    for key in best.keys:
        needs = needs_worth(problem, key, best)
        assert needs is not None
        assert needs <= (problem.by_key[key].worth or 0) + 1e-6


def test_what_takes_more_than_there_is_never_fits() -> None:
    problem = problem_of([(10, 31, ""), (5, 30, ""), (4, 20, "p")], {"p": 11}, 30)
    best = choose(problem)
    assert best.keys == {1}
    assert [needs_worth(problem, key, best) for key in (0, 1, 2)] == [None, 0.0, None]


def test_money_is_a_limit_of_its_own() -> None:
    rows = [
        Candidate(1, 100, Load(10, 500), ("p",)),
        Candidate(2, 80, Load(10, 100), ("p",)),
        Candidate(3, 50, Load(10, 100)),
    ]
    set_ups = {"p": Load(10, 50)}
    for money, keys in (
        (None, {1, 2, 3}),
        (750, {1, 2, 3}),
        (749, {1, 2}),
        (649, {2, 3}),
        (249, {2}),
        (99, set()),
    ):
        assert choose(Problem(rows, set_ups, 100, money)).keys == keys


def test_hundreds_of_candidates_are_proven_in_seconds() -> None:
    random = Random(7)
    rows = [
        (random.lognormvariate(3, 1), random.uniform(5, 90), f"{random.randrange(10)}")
        for _n in range(500)
    ]
    set_ups = {str(n): random.uniform(20, 60) for n in range(10)}
    problem = problem_of(rows, set_ups, 960)
    found = choose(problem, seconds=20)
    assert found.is_proven
    assert problem.fits(found.keys)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Load(-1),
        lambda: Load(1, float("inf")),
        lambda: Problem([Candidate(1, 1, Load(1), ("p",))], {}, 10),
        lambda: Problem([Candidate(1, 1, Load(1)), Candidate(1, 2, Load(1))], {}, 10),
        lambda: Problem([], {}, -1),
        lambda: Problem([], {}, 1, -1),
        lambda: Problem([], {}, 1, None, {"p": -1}),
    ],
)
def test_impossible_input_is_refused(make: object) -> None:
    with pytest.raises(ValueError, match="Expected"):
        make()  # type: ignore[operator]


def test_nothing_to_choose_from() -> None:
    assert choose(Problem([], {}, 10)) == Chosen(frozenset(), 0.0, Load(0.0), 0.0)
