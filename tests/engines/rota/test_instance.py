"""The file of a rota: what is wrong in it is named with its place."""

import json
from pathlib import Path
from typing import Any

import pytest

from faults.rota.engines.instance import problem_of

SMALL = json.loads((Path(__file__).parent / "T1.json").read_text())


def test_it_is_read_as_it_stands() -> None:
    problem = problem_of(SMALL)
    job = problem.by_key[0]
    assert (job.minutes, job.skill, job.penalty, job.locked) == (195, 1, 500, (0, 0))
    assert (job.first_day, job.last_day, job.always) == (0, 1, ((450, 930),))
    assert [(shift.key, shift.skill) for shift in problem.shifts] == [
        ((0, 0), 1),
        ((0, 1), 1),
        ((1, 0), 3),
        ((1, 1), 3),
    ]
    assert problem.travel[problem.shifts[0].place][job.place] == 39


def changed(path: list[Any], value: Any) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(json.dumps(SMALL))
    at: Any = data
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = value
    return data


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (["jobs", 2, "dur"], -1, r"jobs\[2\]\.dur is -1"),
        (["jobs", 2, "dur"], 1.5, r"jobs\[2\]\.dur is 1\.5"),
        (["jobs", 2, "dur"], True, r"jobs\[2\]\.dur is True"),
        (["jobs", 2, "prio"], 5, r"jobs\[2\]\.prio is 5"),
        (["jobs", 2, "prio"], 0, r"jobs\[2\]\.prio is 0"),
        (["jobs", 2, "acc"], [450], r"jobs\[2\]\.acc has 1 numbers"),
        (["jobs", 2, "lock"], "0,0", r"jobs\[2\]\.lock is not a list"),
        (["jobs", 2], 7, r"jobs\[2\] is not an object"),
        (["vd", 1], [2, 0], r"vd\[1\] names technician 2"),
        (["vd", 1], [0, 0], r"each shift once"),
        (["T"], [[0]], r"T has 1 rows: expected 9"),
        (["T", 3], [0, 1], r"as many columns"),
        (["skills"], 3, r"skills is not a list"),
    ],
)
def test_what_is_wrong_is_named(path: list[Any], value: Any, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        problem_of(changed(path, value))


@pytest.mark.parametrize("name", ["skills", "vd", "jobs", "T"])
def test_what_is_missing_is_named(name: str) -> None:
    with pytest.raises(ValueError, match=f"The file has no {name}"):
        problem_of({key: value for key, value in SMALL.items() if key != name})
    with pytest.raises(ValueError, match=r"jobs\[0\] has no skill"):
        problem_of(changed(["jobs", 0], {"prio": 1, "dur": 60}))


@pytest.mark.parametrize("data", [None, [], 3, "rota"])
def test_something_else_is_refused(data: object) -> None:
    with pytest.raises(ValueError, match="one object"):
        problem_of(data)


def test_jobs_that_wait_for_others() -> None:
    after = ["jobs", 3]
    given = SMALL["jobs"][3]
    assert problem_of(changed(after, {**given, "after": [0, 2]})).by_key[3].after == {0, 2}
    assert problem_of(SMALL).orders == []
    with pytest.raises(ValueError, match=r"jobs\[3\]\.after is not a list"):
        problem_of(changed(after, {**given, "after": 2}))
    with pytest.raises(ValueError, match=r"jobs\[3\]\.after is -1"):
        problem_of(changed(after, {**given, "after": [-1]}))
    with pytest.raises(ValueError, match="Expected a known job before job 3, got 8"):
        problem_of(changed(after, {**given, "after": [8]}))
