"""What is believed of one fault: a mass for each foot of each leg, each splice, each cause.

A leg's mass is kept three times: the station's own hot wire, the common, and the whole bundle;
they break at the same places and other stations tell them apart.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.line import SPLICE_SHARE, Floats, Line, UnusableLine
from sites.kernel.lazily import np


class Outside(StrEnum):
    """Causes that no search along the wire finds."""

    OUTPUT = "controller output"
    COMMON_TERMINAL = "common at the controller"
    COIL = "coil or its lead"
    WATER = "valve or water"
    CONTROLLER_SPLICE = "splice at the controller"
    VALVE_SPLICE = "splice in the valve box"
    MASTER = "master valve or pump"
    WRONG_WIRE = "another wire on the terminal"


# Settled at the controller, and at the valve; another wire by a proof that begins at the valve.
BEHIND = (
    *(Outside.OUTPUT, Outside.COMMON_TERMINAL),
    *(Outside.CONTROLLER_SPLICE, Outside.MASTER),
)
IN_VALVE_BOX = (Outside.COIL, Outside.WATER, Outside.VALVE_SPLICE)
# What is wrong with these shows at every box, toward the controller or toward the valve; water
# that is missing shows at none, and another wire on the terminal reads as good as it is.
SPOILS_CONTROLLER_SIDE = (Outside.OUTPUT, Outside.COMMON_TERMINAL, Outside.CONTROLLER_SPLICE)
SPOILS_VALVE_SIDE = (Outside.COIL, Outside.VALVE_SPLICE)
# The splices of this station's wire at its ends.
END_SPLICES = (Outside.CONTROLLER_SPLICE, Outside.VALVE_SPLICE)
# What a spare from terminal to valve goes round, besides the wire itself.
SPARED = (*END_SPLICES, Outside.WRONG_WIRE)
# Which number says how often each is to blame.
NUMBER_OF = {cause: f"p_{cause.name.lower()}" for cause in Outside}


class Conductor(StrEnum):
    """What is broken on a leg."""

    HOT = "this station's wire"
    COMMON = "common"
    BUNDLE = "all wires together"


Causes = Mapping[Outside, float]


class Contradiction(ValueError):
    """No place and no cause is left that fits all readings."""


@dataclass(frozen=True)
class Walk:
    """A walk between two points that found nothing: a tone on a conductor; None for two probes."""

    low: int
    high: int
    conductor: Conductor | None


@dataclass(frozen=True)
class Listen:
    """What was heard at a point without cutting: by the tone, or by a clamp."""

    point: int
    by_clamp: bool
    was_there: bool


@dataclass(frozen=True)
class Neighbour:
    """Another station of the same controller: does it run, and what it shares with ours.

    `shares` are legs in whose trench its hot wire lies too; `common` the legs whose common it
    needs. One that `is_on_ours` leaves the controller by the same common terminal; one that
    `is_on_master` gets its water by the same master valve or pump.
    """

    works: bool
    shares: frozenset[int] = frozenset()
    common: frozenset[int] = frozenset()
    is_on_ours: bool = True
    is_on_master: bool = True

    def chances(self, line: Line, assumed: Assumptions) -> tuple[Floats, float, Causes]:
        """Return the chance that it runs, or not: by conductor and leg (3, n + 1), splice, cause.

        Raises:
            UnusableLine: it shares a leg that is not on the line.
        """
        legs = range(len(line.legs))
        strange = (self.shares | self.common) - set(legs)
        if strange:
            raise UnusableLine(
                f"Expected legs 0..{len(legs) - 1} shared with a neighbour, got {min(strange)}"
            )

        def chance(dead: float) -> float:
            return 1 - dead if self.works else dead

        other, by = assumed.neighbour_otherwise, assumed.neighbour_by_common
        in_bundle = assumed.neighbour_dead_if_bundle
        single = np.full(len(legs), chance(other))
        bundle = np.array([chance(in_bundle if leg in self.shares else other) for leg in legs])
        # A station on another common says nothing of ours: as likely dead as for any other reason.
        beyond = 1 - by if self.is_on_ours else other
        common = np.array([chance(by if leg in self.common else beyond) for leg in legs])
        # Without its common, or without water from its master valve, it does not run either.
        stopped = {Outside.COMMON_TERMINAL: self.is_on_ours, Outside.MASTER: self.is_on_master}
        outside = {cause: chance(by if stopped.get(cause) else other) for cause in Outside}
        return np.stack([single, common, bundle]), chance(other), outside


@dataclass(frozen=True)
class Belief:
    """A probability for each hypothesis; all of them sum to 1.

    Shapes: `legs` (3, cells) in the order of `Conductor`; `splice` (n + 2,) by point;
    `outside` by cause. `others` are the stations that it heeds. `walked` are the walks in vain so
    far, `listened` what was heard at points: the next of the same tells less.
    """

    line: Line
    legs: Floats
    splice: Floats
    outside: Causes
    others: tuple[Neighbour, ...] = ()
    walked: tuple[Walk, ...] = ()
    listened: tuple[Listen, ...] = ()

    @property
    def total(self) -> float:
        """Sum of all masses."""
        return float(self.legs.sum() + self.splice.sum() + sum(self.outside.values()))

    def scaled(self) -> "Belief":
        """Return the same with a sum of 1.

        Raises:
            Contradiction: nothing is left.
        """
        total = self.total
        if not (np.isfinite(total) and total > 0):
            raise Contradiction("Expected some explanation to be left, got none")
        return replace(
            self,
            legs=self.legs / total,
            splice=self.splice / total,
            outside={cause: mass / total for cause, mass in self.outside.items()},
        )

    @property
    def by_leg(self) -> Floats:
        """Probability of each leg, (n + 1,)."""
        return np.add.reduceat(self.legs.sum(axis=0), self.line.first_cell)

    def of(self, conductor: Conductor) -> float:
        """Probability that this conductor is broken on some leg."""
        return float(self.legs[list(Conductor).index(conductor)].sum())

    @property
    def in_the_wire(self) -> float:
        """Probability that a leg or a splice is to blame."""
        return float(self.legs.sum() + self.splice.sum())


def leg_rates(line: Line, assumed: Assumptions) -> Floats:
    """Return the expected faults per foot and year of each leg, shrunk to the common hazard.

    Source: mean of a gamma-Poisson posterior (textbook conjugacy, from memory).
    """
    h0, a = assumed.hazard_per_ft_year, assumed.hazard_prior_faults
    return np.array(
        [
            h0 * (a + leg.faults) / (a + h0 * leg.length_ft * leg.years) * leg.hazard_factor
            for leg in line.legs
        ]
    )


def prior(line: Line, assumed: Assumptions, neighbours: Sequence[Neighbour] = ()) -> Belief:
    """Return what is believed before any test: length, history, splices, other stations.

    Raises:
        UnusableLine: nothing on the line can fail, or a neighbour shares a leg that is not on it.
    """
    rates = leg_rates(line, assumed)
    cells = line.cell_length_ft * rates[line.cell_leg]
    hot = 1 - assumed.bundle_share - assumed.common_share
    legs = np.array([hot, assumed.common_share, assumed.bundle_share])[:, None] * cells
    splice = np.zeros(len(line.boxes) + 2)
    splice[1:-1] = [
        SPLICE_SHARE[box.joint]
        * assumed.splice_counts_as_ft
        * assumed.hazard_per_ft_year
        * box.hazard_factor
        for box in line.boxes
    ]
    in_the_wire = float(legs.sum() + splice.sum())
    if not in_the_wire > 0:
        raise UnusableLine("Expected a leg or splice that can fail, got hazard factors of 0 only")
    scale = (1 - assumed.p_outside) / in_the_wire
    outside = {cause: float(getattr(assumed, name)) for cause, name in NUMBER_OF.items()}
    by_leg, of_splice = np.full((len(Conductor), len(line.legs)), scale), scale
    for neighbour in neighbours:
        factors, of_a_splice, causes = neighbour.chances(line, assumed)
        by_leg, of_splice = by_leg * factors, of_splice * of_a_splice
        outside = {cause: mass * causes[cause] for cause, mass in outside.items()}
    cells, splices = legs * by_leg[:, line.cell_leg], splice * of_splice
    return Belief(line, cells, splices, outside, tuple(neighbours)).scaled()
