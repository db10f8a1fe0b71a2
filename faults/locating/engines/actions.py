"""What a technician can do next, and what it said about the fault."""

from dataclasses import dataclass

from faults.locating.engines.belief import Conductor


@dataclass(frozen=True)
class OpenBox:
    """Open a box, cut its splice, test both sides."""

    box: int


@dataclass(frozen=True)
class CutBox:
    """Open a box, cut a wire that passes uncut, test both sides: one more splice for life."""

    box: int


@dataclass(frozen=True)
class ListenAt:
    """Open a box and listen for the tone, or clamp, without cutting."""

    box: int


@dataclass(frozen=True)
class WalkTone:
    """Walk a tone from one point to another, fed at a point that need not be either of them."""

    start: int
    end: int
    conductor: Conductor = Conductor.HOT
    fed_at: int = 0


@dataclass(frozen=True)
class ReadDistance:
    """Measure the distance to the fault by an instrument, at the controller or at the valve."""

    from_valve: bool = False


@dataclass(frozen=True)
class ReadOhms:
    """The wire off its terminal, ohms from it to the common: is it open, short, or its coil bad?"""


@dataclass(frozen=True)
class CheckController:
    """Volts at the terminal, and another station on the same common."""


@dataclass(frozen=True)
class CheckValve:
    """Ohms of the coil at the valve, and the valve opened by hand."""


@dataclass(frozen=True)
class ProveWire:
    """The tone fed at the valve: which wire at the controller carries it, this one or another?"""


@dataclass(frozen=True)
class MoveToSpare:
    """Give up the wire and serve the station by a spare."""


@dataclass(frozen=True)
class ClampAt:
    """Clamp round the wire at a box, without cutting: does the current of a short flow past?"""

    box: int


@dataclass(frozen=True)
class VoltsAt:
    """Open a box, read the volts on both sides of its splice while the station is switched on."""

    box: int


@dataclass(frozen=True)
class MeasureInsulation:
    """Open a box, cut the wire's splice or the wire, read megohms to earth of both sides."""

    box: int


@dataclass(frozen=True)
class WalkGradient:
    """Walk two probes over the wire from point to point to find where a leak enters the ground."""

    start: int
    end: int


@dataclass(frozen=True)
class BypassLeg:
    """Lay a jumper round a leg and see whether the station runs."""

    leg: int


@dataclass(frozen=True)
class OpenGround:
    """Dig down to the wire of a leg, so many feet from its controller's end, and test both sides.

    The wire is cut there, and the box that is set for its splice is a box of the line from then on.
    """

    leg: int
    feet: float


@dataclass(frozen=True)
class RenewLeg:
    """Lay a new wire in place of a leg: nobody needs to know where on it the fault lies."""

    leg: int
    conductor: Conductor = Conductor.HOT


Action = (
    OpenBox
    | CutBox
    | ListenAt
    | WalkTone
    | ReadDistance
    | ReadOhms
    | CheckController
    | CheckValve
    | ProveWire
    | MoveToSpare
    | ClampAt
    | VoltsAt
    | MeasureInsulation
    | WalkGradient
    | BypassLeg
    | OpenGround
    | RenewLeg
)
