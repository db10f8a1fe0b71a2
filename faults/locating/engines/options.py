"""Where the technician stands, what is at hand, and the options that a plan ranks."""

from dataclasses import dataclass

from faults.locating.engines.actions import Action
from faults.locating.engines.belief import Conductor


@dataclass(frozen=True)
class Stand:
    """Where the technician stands: point 0..n + 1, which box is open, where the tone is fed.

    `is_cut`: the splice of the open box was cut out, so that it is not to blame any more.
    """

    at: int = 0
    open_box: int | None = None
    tone_from: int | None = None
    tone_on: Conductor = Conductor.HOT
    is_cut: bool = True

    @property
    def in_box(self) -> int | None:
        """The box that is open before the technician."""
        return self.open_box if self.open_box == self.at else None

    @property
    def feeds_hot_at_controller(self) -> bool:
        """Whether the tone is on the station's wire, from the controller."""
        return self.tone_from == 0 and self.tone_on is Conductor.HOT


@dataclass(frozen=True)
class Tools:
    """What is at hand besides opening boxes and a tone."""

    tone: bool = True
    distance_at_controller: bool = False
    distance_at_valve: bool = False
    spare_min: float | None = None
    may_cut: bool = True
    clamp: bool = False
    insulation: bool = False
    gradient: bool = False
    jumper: bool = False
    renew: bool = False
    open_ground: bool = False
    volts: bool = False
    ohms: bool = False


@dataclass(frozen=True)
class Option:
    """One action, its own minutes from here, and the minutes to the end if it goes first.

    `minutes` weighs long searches more than short ones. `before` and `beyond` are the chances of
    the sides of a test; `finds` the chance that the action itself finds the fault.
    """

    action: Action
    minutes: float
    own_min: float
    before: float = 0.0
    beyond: float = 0.0
    finds: float = 0.0
