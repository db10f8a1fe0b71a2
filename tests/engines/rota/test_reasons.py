"""Why a job is left out: each rule in turn, the moment at which it turns, and two jobs outbid."""

from dataclasses import replace

from faults.rota.engines.planning import plan
from faults.rota.engines.problem import Problem, Shift, ShiftKey, Task
from faults.rota.engines.reasons import Reason, Why, reasons

MONDAY, TUESDAY = ShiftKey(0, 0), ShiftKey(0, 1)
CREW = [Shift(MONDAY, 480, 960, 2, 0), Shift(TUESDAY, 480, 960, 2, 0)]
TRAVEL = [[0, 20, 20], [20, 0, 20], [20, 20, 0]]
JOB = Task(7, 60, 1, 100, skill=2, first_day=0, last_day=1)


def of(*tasks: Task, shifts: list[Shift] = CREW) -> list[Reason]:
    problem = Problem(shifts, tasks, TRAVEL)
    return reasons(problem, plan(problem))


def why(task: Task, shifts: list[Shift] = CREW) -> Why | None:
    found = of(task, shifts=shifts)
    return found[0].why if found else None


def test_a_job_that_every_rule_lets_in_is_in() -> None:
    assert why(JOB) is None


def test_skill_gear_and_lock() -> None:
    assert why(replace(JOB, skill=3)) is Why.SKILL
    assert why(replace(JOB, gear=frozenset({"digger"}))) is Why.GEAR
    assert why(replace(JOB, locked=ShiftKey(0, 2))) is Why.LOCK
    # It is locked to a day on which it may not be done: the lock is what has to be looked at.
    assert why(replace(JOB, locked=MONDAY, first_day=1)) is Why.LOCK


def test_days_before_on_and_after() -> None:
    assert why(replace(JOB, first_day=1)) is None
    assert why(replace(JOB, first_day=2, last_day=None)) is Why.DAYS
    assert why(replace(JOB, last_day=0)) is None
    assert why(replace(JOB, first_day=-2, last_day=-1)) is Why.DAYS
    # Due before it can begin: no day at all.
    assert why(replace(JOB, first_day=1, last_day=0)) is Why.DAYS


def test_closed_on_its_only_day() -> None:
    assert why(replace(JOB, last_day=0, windows={0: ()})) is Why.CLOSED
    assert why(replace(JOB, windows={0: ()})) is None


def test_hours_to_the_minute() -> None:
    # Away at 8:00, there at 8:20, back by 16:00: 440 minutes of work fit, 441 do not.
    assert why(replace(JOB, minutes=440, penalty=1000)) is None
    assert why(replace(JOB, minutes=441)) is Why.HOURS
    # Open from 15:00: it ends at 15:40 at the latest.
    assert why(replace(JOB, minutes=40, always=((900, 1440),))) is None
    assert why(replace(JOB, minutes=41, always=((900, 1440),))) is Why.HOURS
    # Nor does it fit into either of two openings that would do together.
    assert why(replace(JOB, minutes=61, always=((500, 560), (560, 620)))) is Why.HOURS


def test_driving_dearer_than_leaving_it_out() -> None:
    assert why(replace(JOB, penalty=41)) is None
    found = of(replace(JOB, penalty=39))
    assert found == [Reason(7, Why.DRIVING, MONDAY, (), 40)]


def test_outbid_by_the_one_or_the_two_that_have_its_place() -> None:
    long = replace(JOB, key=8, minutes=400, penalty=900)
    later = replace(JOB, key=9, minutes=400, penalty=800)
    found = of(replace(JOB, minutes=100), long, later)
    assert [(each.key, each.why) for each in found] == [(7, Why.OUTBID)]
    # The cheaper of the two others would have to go.
    assert found[0].by == (9,)
    small = [replace(JOB, key=key, minutes=200, penalty=500, place=2) for key in (1, 2)]
    crowded = of(replace(JOB, minutes=400), *small, shifts=CREW[:1])
    assert [(each.why, each.by) for each in crowded] == [(Why.OUTBID, (1, 2))]
