"""The file that `plan_rota` reads: one yard, one working day's hours, four priorities.

A JSON object: `skills` (of each technician), `vd` (list of [technician, day] that are worked),
`jobs` (each `dur`, `skill`, `earliest`, `due`, `acc` [opens, closes], `prio` 1..4, and `lock`
[technician, day] or null), and `T`, minutes of travel with row 0 the yard and row n + 1 job n.
A job that waits for others may name them in `after` (list of numbers of jobs): it has a later day
than they have, or comes after them on one technician's day.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task

SHIFT_MIN = (450, 930)
PENALTY_MIN = {1: 250, 2: 500, 3: 1000, 4: 2000}
_MOST_MINUTES = 10**6


def problem_of(data: object) -> Problem:
    """Return the problem of a file's contents.

    Raises:
        ValueError: something is missing or is not what it should be; it names the place.
    """
    if not isinstance(data, Mapping):
        raise ValueError("Expected one object with skills, vd, jobs and T.")
    skills = [_whole(each, f"skills[{n}]") for n, each in enumerate(_rows(data, "skills"))]
    shifts = [
        _shift(_pair(each, f"vd[{n}]"), skills, n) for n, each in enumerate(_rows(data, "vd"))
    ]
    jobs = _rows(data, "jobs")
    travel = [
        [_whole(minutes, f"T[{n}]") for minutes in _list(row, f"T[{n}]")]
        for n, row in enumerate(_rows(data, "T"))
    ]
    if len(travel) != len(jobs) + 1:
        raise ValueError(
            f"T has {len(travel)} rows: expected {len(jobs) + 1}, the yard's and one a job."
        )
    return Problem(shifts, [_task(job, n) for n, job in enumerate(jobs)], travel)


def _shift(pair: tuple[int, int], skills: Sequence[int], number: int) -> Shift:
    crew, day = pair
    if crew >= len(skills):
        raise ValueError(f"vd[{number}] names technician {crew}: skills has {len(skills)}.")
    return Shift(ShiftKey(crew, day), *SHIFT_MIN, skills[crew], 0)


def _task(job: object, number: int) -> Task:
    at = f"jobs[{number}]"
    if not isinstance(job, Mapping):
        raise ValueError(f"{at} is not an object.")
    priority = _whole(_get(job, "prio", at), f"{at}.prio")
    if priority not in PENALTY_MIN:
        raise ValueError(f"{at}.prio is {priority}: expected 1, 2, 3 or 4.")
    lock = job.get("lock")
    return Task(
        number,
        _whole(_get(job, "dur", at), f"{at}.dur"),
        number + 1,
        PENALTY_MIN[priority],
        _whole(_get(job, "skill", at), f"{at}.skill"),
        _whole(_get(job, "earliest", at), f"{at}.earliest"),
        _whole(_get(job, "due", at), f"{at}.due"),
        (_pair(_get(job, "acc", at), f"{at}.acc"),),
        after=frozenset(
            _whole(each, f"{at}.after") for each in _list(job.get("after", []), f"{at}.after")
        ),
        locked=None if lock is None else ShiftKey(*_pair(lock, f"{at}.lock")),
    )


def _get(row: Mapping[Any, Any], name: str, at: str) -> object:
    if name not in row:
        raise ValueError(f"{at} has no {name}.")
    return row[name]


def _rows(data: Mapping[Any, Any], name: str) -> list[object]:
    return _list(_get(data, name, "The file"), name)


def _list(value: object, at: str) -> list[object]:
    if not isinstance(value, list):
        raise ValueError(f"{at} is not a list.")
    return value


def _pair(value: object, at: str) -> tuple[int, int]:
    both = [_whole(each, at) for each in _list(value, at)]
    if len(both) != 2:
        raise ValueError(f"{at} has {len(both)} numbers: expected two.")
    return both[0], both[1]


def _whole(value: object, at: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _MOST_MINUTES:
        raise ValueError(f"{at} is {value!r}: expected a whole number from 0 to {_MOST_MINUTES}.")
    return value
