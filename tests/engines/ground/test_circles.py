"""The circle that holds a box nine times in ten, against published values and by brute force."""

from math import hypot

import numpy as np
import pytest

from sites.ground.engines.circles import circle
from sites.ground.engines.fixing import Position, Tie, fix
from tests.engines.ground.box_worlds import TAPE_SD_FT, Tally, World, played, worlds

ONE, TWO, THREE = Tie(0, 0, 52.5, 0.4), Tie(60, 0, 35.7, 0.4), Tie(25, 70, 42.8, 0.6)
PHONE = Position(45, 27, 6.6)
IN_LINE = (Tie(0, 0, 58.1, 0.4), Tie(12, 2, 47.6, 0.4))


def radii(ties: list[Tie], position: Position | None) -> list[float]:
    """Of the circles that hold it in 50, 90 and 95 %."""
    place = fix(ties, position)
    return [circle(place, ties, position, chance).radius_ft for chance in (0.5, 0.9, 0.95)]


@pytest.mark.parametrize(
    ("ties", "position", "published", "within"),
    [
        # Worked out by integrals over the ellipse, to which far marks come close.
        ([ONE, TWO, THREE], PHONE, (0.4331, 0.7979, 0.9142), 0.02),
        ([ONE, TWO], PHONE, (0.4722, 0.8629, 0.9854), 0.02),
        # Circular: 1.1774, 2.1460 and 2.4477 standard errors.
        ([], PHONE, (7.771, 14.164, 16.155), 0.002),
    ],
)
def test_far_from_its_marks_it_is_the_circle_of_the_textbook(
    ties: list[Tie], position: Position, published: tuple[float, ...], within: float
) -> None:
    assert radii(ties, position) == pytest.approx(published, rel=within)


def brute_radius(
    ties: list[tuple[Tie, float]],
    position: Position,
    centre: tuple[float, float],
    step: float = 0.5,
    reach: float = 60.0,
) -> float:
    """Of the circle that holds 90 %: marks are drawn where they may be, and places are weighed."""
    draws = np.random.default_rng(5)
    line = np.arange(-reach, reach, step)
    across, up = np.meshgrid(centre[0] + line, centre[1] + line)
    belief = np.exp(
        -((across - position.x) ** 2 + (up - position.y) ** 2) / (2 * position.sd_ft**2)
    )
    for tie, mark_sd in ties:
        weight = np.zeros_like(belief)
        for east, north in draws.normal((tie.x, tie.y), mark_sd, (250 if mark_sd > 0.01 else 1, 2)):
            miss = np.hypot(across - east, up - north) - tie.tape_ft
            weight += np.exp(-(miss**2) / (2 * TAPE_SD_FT**2))
        belief *= weight
    away = np.hypot(across - centre[0], up - centre[1]).ravel()
    order = np.argsort(away)
    held = np.cumsum(belief.ravel()[order]) / belief.sum()
    return float(away[order][np.searchsorted(held, 0.9)])


@pytest.mark.parametrize(
    ("marks", "position"),
    [
        ([(10, 4, 9.0, 6.6)], (3, 5, 10.9)),
        ([(30, 4, 26.0, 6.6)], (3, 5, 10.9)),
        ([(-9, 2, 14.0, 3.0), (12, 3, 12.0, 3.0)], (1, 2, 5.3)),
        ([(-9, 2, 14.0, 6.6), (25, 20, 30.0, 3.0)], (1, 2, 21.9)),
    ],
)
def test_agrees_with_brute_force(
    marks: list[tuple[float, float, float, float]], position: tuple[float, float, float]
) -> None:
    ties = [(Tie(x, y, tape, hypot(TAPE_SD_FT, sd)), sd) for x, y, tape, sd in marks]
    phone = Position(*position)
    taped = [tie for tie, _sd in ties]
    place = fix(taped, phone)
    assert not place.is_contradiction
    brute = brute_radius(ties, phone, (place.x, place.y))
    assert circle(place, taped, phone, 0.9).radius_ft == pytest.approx(brute, rel=0.05)


def test_marks_nearly_in_line_leave_a_longer_arc_than_the_textbooks_ellipse() -> None:
    phone = Position(50, 30, 9.8)
    place = fix(IN_LINE, phone)
    brute = brute_radius(
        [(tie, 1e-6) for tie in IN_LINE], phone, (place.x, place.y), step=0.1, reach=30
    )
    found = circle(place, IN_LINE, phone, 0.9).radius_ft
    assert found == pytest.approx(brute, rel=0.02)
    # By the covariance of the best place it would be 7.3724.
    assert found > 7.8


def test_both_sides_of_two_near_marks_are_in_the_circle_and_said() -> None:
    ties = [Tie(0, 0, 20, 0.5), Tie(24, 0, 20, 0.5)]
    weak, strong = Position(12, 5, 21.9), Position(12, 14, 2.0)
    place = fix(ties, weak)
    around = circle(place, ties, weak, 0.9)
    assert (place.x, place.y) == pytest.approx((12, 16), abs=0.3)
    assert around.rival == pytest.approx((12, -16), abs=0.3)
    assert around.radius_ft == pytest.approx(32, abs=1)
    sure = circle(fix(ties, strong), ties, strong, 0.9)
    assert (sure.rival, sure.radius_ft < 2) == (None, True)


@pytest.mark.parametrize(("apart", "is_said"), [(5.0, False), (7.0, True)])
def test_a_rival_within_some_steps_is_not_worth_a_word(apart: float, is_said: bool) -> None:
    beside = hypot(30, apart / 2)
    ties = [Tie(-30, 0, beside, 0.2), Tie(30, 0, beside, 0.2)]
    phone = Position(0, 0.1, 6.6)
    around = circle(fix(ties, phone), ties, phone, 0.9)
    assert (around.rival is not None) is is_said


# A circle by the covariance of the best place held 72 % of these.
NEAR = World(15.0, "surveyed", 2)


def test_circles_of_ninety_percent_hold_ninety_percent() -> None:
    draws, all_of_them = np.random.default_rng(3), Tally()
    for world in worlds():
        one = played(world, 8, draws)
        all_of_them.held += one.held
        all_of_them.drawn += one.drawn
    # The standard error of 288 is 1.8 %. At full size: tests/bench/bench_box_finder.py.
    assert all_of_them.drawn >= 275
    assert 0.845 <= all_of_them.share <= 0.955
    assert 0.83 <= played(NEAR, 150, draws).share <= 0.97
