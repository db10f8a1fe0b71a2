"""Where a box is, by ties and a position: examples of our own, worked out in two ways."""

from math import hypot

import numpy as np
import pytest
from scipy.optimize import least_squares

from sites.ground.engines.fixing import (
    Fixed,
    Position,
    Tie,
    UnableToFix,
    fix,
    sd_of_accuracy,
)

ONE, TWO, THREE = Tie(0, 0, 52.5, 0.4), Tie(60, 0, 35.7, 0.4), Tie(25, 70, 42.8, 0.6)
PHONE = Position(45, 27, 6.6)
IN_LINE = (Tie(0, 0, 58.1, 0.4), Tie(12, 2, 47.6, 0.4))


def near(found: Fixed, x: float, y: float) -> None:
    """Compare a place to four digits."""
    assert (found.x, found.y) == pytest.approx((x, y), abs=6e-5)


def test_three_ties_and_a_position() -> None:
    found = fix([ONE, TWO, THREE], PHONE)
    near(found, 42.3790, 30.9836)
    assert (found.chi_square, found.spare) == (pytest.approx(0.5633, abs=6e-5), 3)
    assert found.p == pytest.approx(0.905, abs=6e-4)
    assert (found.var_x, found.var_y, found.cov) == pytest.approx(
        (0.166005, 0.109286, 0.013303), abs=6e-6
    )


def test_two_ties_and_a_position() -> None:
    found = fix([ONE, TWO], PHONE)
    near(found, 42.3596, 31.0167)
    assert (found.chi_square, found.spare) == (pytest.approx(0.5324, abs=6e-5), 2)
    assert found.p == pytest.approx(0.766, abs=6e-4)
    assert (found.var_x, found.var_y, found.cov) == pytest.approx(
        (0.178358, 0.144686, -0.007552), abs=6e-6
    )
    assert found.mirror is None


def test_two_ties_alone_leave_two_places() -> None:
    found = fix([ONE, TWO])
    assert found.mirror is not None
    ys = sorted([found.y, found.mirror[1]])
    assert ys == pytest.approx([-31.0306, 31.0306], abs=6e-5)
    assert found.x == pytest.approx(42.3480, abs=6e-5)
    assert (found.chi_square, found.spare, found.p) == (pytest.approx(0.0, abs=1e-9), 0, 1.0)


def test_ties_nearly_in_line_leave_a_long_ellipse() -> None:
    found = fix(IN_LINE, Position(50, 30, 9.8))
    near(found, 47.3820, 33.7400)
    assert found.p == pytest.approx(0.872, abs=6e-4)
    assert (found.var_x, found.var_y, found.cov) == pytest.approx(
        (7.8818, 12.2577, -9.7470), abs=6e-5
    )


def test_a_tape_that_is_ten_feet_wrong_is_named() -> None:
    found = fix([ONE, TWO, Tie(25, 70, 52.8, 0.6)], PHONE)
    near(found, 43.8641, 28.3166)
    assert found.chi_square == pytest.approx(198.93, abs=0.006)
    assert found.is_contradiction
    assert found.worst_tie == 2
    assert found.worst_ft == pytest.approx(7.0, abs=0.06)
    assert not fix([ONE, TWO, THREE], PHONE).is_contradiction


def test_three_ties_need_no_position() -> None:
    found = fix([ONE, TWO, THREE])
    assert found.mirror is None
    assert (found.x, found.y) == pytest.approx((42.38, 30.98), abs=0.05)


def test_a_position_alone_is_the_place() -> None:
    found = fix([], PHONE)
    assert (found.x, found.y, found.worst_tie) == (45, 27, None)


def test_circles_that_do_not_meet_contradict_each_other() -> None:
    found = fix([Tie(0, 0, 10, 0.4), Tie(60, 0, 20, 0.4)], Position(15, 2, 6.6))
    assert found.is_contradiction


@pytest.mark.parametrize(
    "ties", [[], [ONE], [ONE, Tie(0, 0, 20, 0.4)], [Tie(0, 0, 10, 0.4), Tie(20, 0, 10, 0.4)]]
)
def test_too_little_gives_no_place(ties: list[Tie]) -> None:
    with pytest.raises(UnableToFix):
        fix(ties)


@pytest.mark.parametrize("seed", range(6))
def test_agrees_with_another_solver(seed: int) -> None:
    draws = np.random.default_rng(seed)
    true = draws.uniform(10, 50, 2)
    marks = draws.uniform(-40, 100, (3, 2))
    ties = [
        Tie(float(x), float(y), float(hypot(*(true - (x, y))) + draws.normal(0, 0.4)), 0.4)
        for x, y in marks
    ]
    phone = Position(*(float(each) for each in true + draws.normal(0, 6, 2)), 6.0)

    def misses(at: np.ndarray) -> list[float]:
        taped = [(hypot(at[0] - t.x, at[1] - t.y) - t.tape_ft) / t.sd_ft for t in ties]
        return [*taped, (at[0] - phone.x) / 6, (at[1] - phone.y) / 6]

    theirs = least_squares(misses, [phone.x, phone.y], xtol=1e-14, ftol=1e-14).x
    found = fix(ties, phone)
    assert (found.x, found.y) == pytest.approx(tuple(theirs), abs=1e-4)


def test_a_weak_position_beside_its_mark_ends_on_the_side_that_fits_best() -> None:
    # Begun at the position, the search ends on the wrong side of the two marks.
    ties = [Tie(0, 0, 10, 0.4), Tie(14, 2, 10, 0.4)]
    found = fix(ties, Position(8.0, 0.5, 6.6))
    sides = [(found.x, found.y), *found.rivals]
    assert len(sides) == 2
    misses = [hypot(x - 8.0, y - 0.5) for x, y in sides]
    assert misses[0] < misses[1]


def test_what_a_phone_calls_its_accuracy_is_taken_as_68_percent() -> None:
    # 5 m at 68 %: 3.3122 m; 3.0 m: 6.520 ft.
    assert sd_of_accuracy(5.0) == pytest.approx(3.3122, abs=6e-5)
    assert sd_of_accuracy(3.0 / 0.3048) == pytest.approx(6.520, abs=6e-4)
