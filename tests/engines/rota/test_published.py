"""Two instances whose optima were proven by two solvers each, apart from ours."""

import json
from pathlib import Path

from faults.rota.engines.instance import problem_of
from faults.rota.engines.planning import Method, Status, plan
from faults.rota.engines.problem import Problem
from tests.engines.rota.cases import checked

HERE = Path(__file__).parent


def instance(name: str) -> Problem:
    return problem_of(json.loads((HERE / f"{name}.json").read_text()))


def test_the_small_one_is_proven() -> None:
    # Our own instance; 1274 (travel 274; 3, 5 and 6 left out) by HiGHS and by another solver.
    problem = instance("T1")
    made = plan(problem)
    checked(problem, made)
    assert (made.objective, made.bound, made.status) == (1274, 1274, Status.OPTIMAL)
    assert (made.driving, made.left_out) == (274, (3, 5, 6))


def test_sixty_jobs_in_a_week_are_proven() -> None:
    # Our own instance: 6736, travel 1736, six jobs left out, by route lists and HiGHS; three other
    # ways of solving agree on the six.
    problem = instance("D1")
    made = plan(problem)
    checked(problem, made)
    assert (made.objective, made.bound, made.status) == (6736, 6736, Status.OPTIMAL)
    assert (made.driving, made.left_out) == (1736, (4, 8, 21, 26, 40, 56))
    assert made.method is Method.ALL_ROUTES
