"""No usual way of choosing brings more than Return first, and all of them bring less on average."""

from random import Random

from reports.returning.engines.choosing import choose
from tests.bench.bench_returning import company, one_by_one, shares


def test_no_order_of_taking_brings_more() -> None:
    random = Random(2)
    for _n in range(10):
        problem, age, loud = company(random, 16)
        best = choose(problem, seconds=10)
        assert best.is_proven
        assert problem.fits(best.keys)
        for order in (
            lambda each, age=age: age[each.key],  # type: ignore[misc]
            lambda each, loud=loud: loud[each.key],  # type: ignore[misc]
            lambda each: each.worth,
        ):
            assert one_by_one(problem, order) <= best.worth + 1e-6


def test_usual_ways_bring_less_on_average() -> None:
    found = shares(8, 4, 16)
    assert found.pop("companies") == 8
    assert all(share < 0.9 for share in found.values())
