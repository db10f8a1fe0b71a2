"""Invented sites: boxes, legs, hazards and one fault, drawn from stated distributions."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Shape:
    """The distributions of the standard world; each number is an assumption of our own."""

    fewest_boxes: int = 2
    most_boxes: int = 8
    median_leg_ft: float = 160.0
    sigma: float = 0.6
    shortest_leg_ft: float = 50.0
    longest_leg_ft: float = 800.0
    longest_path_ft: float = 2000.0
    splice_counts_as_ft: float = 20.0
    box_min: tuple[float, float] = (6.0, 16.0)
    tone_min_per_100_ft: float = 4.0


@dataclass(frozen=True)
class Site:
    """One site and where its fault lies: feet from the controller, or the box of a bad splice."""

    leg_ft: Floats
    hazard: Floats
    obstacle: Floats
    box_min: Floats
    fault_ft: float
    fault_splice: int | None
    shape: Shape

    @property
    def boxes(self) -> int:
        """Number of boxes."""
        return len(self.box_min)

    @property
    def point_ft(self) -> Floats:
        """Feet from the controller of points 0..n + 1."""
        return np.concatenate([[0.0], np.cumsum(self.leg_ft)])

    @property
    def tone_min(self) -> Floats:
        """Minutes to walk each leg with the tone."""
        return self.leg_ft / 100 * self.shape.tone_min_per_100_ft * self.obstacle


def draw_site(rng: np.random.Generator, shape: Shape) -> Site:
    """Draw a site and its fault; a path that is too long is drawn again."""
    while True:
        boxes = int(rng.integers(shape.fewest_boxes, shape.most_boxes + 1))
        leg_ft = np.clip(
            rng.lognormal(np.log(shape.median_leg_ft), shape.sigma, boxes + 1),
            shape.shortest_leg_ft,
            shape.longest_leg_ft,
        )
        if leg_ft.sum() <= shape.longest_path_ft:
            break
    hazard = rng.gamma(2.0, 0.5, boxes + 1) * np.where(rng.random(boxes + 1) < 0.2, 3.0, 1.0)
    weights = np.concatenate([leg_ft * hazard, np.full(boxes, shape.splice_counts_as_ft)])
    drawn = int(rng.choice(len(weights), p=weights / weights.sum()))
    point_ft = np.concatenate([[0.0], np.cumsum(leg_ft)])
    splice = drawn - boxes if drawn > boxes else None
    feet = point_ft[splice] if splice else point_ft[drawn] + rng.random() * leg_ft[drawn]
    return Site(
        leg_ft=leg_ft,
        hazard=hazard,
        obstacle=rng.uniform(1.0, 2.5, boxes + 1),
        box_min=rng.uniform(*shape.box_min, boxes),
        fault_ft=float(feet),
        fault_splice=splice,
        shape=shape,
    )
