"""What is seen in an open box, and ohms read at the controller."""

from dataclasses import dataclass
from enum import StrEnum

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import END_SPLICES, Conductor, Outside
from faults.locating.engines.evidence import Likelihood, everywhere
from faults.locating.engines.line import Joint, Line
from sites.kernel.lazily import np


class Wear(StrEnum):
    """How a splice looks."""

    SOUND = "sound"
    WET = "wet"
    CORRODED = "corroded"


@dataclass(frozen=True)
class Looked:
    """A box opened and looked into: what the wire does there, and how its splice looks.

    What the wire does there corrects the line (`worked.as_seen`); the look of the splice is
    evidence. None where nobody said.
    """

    box: int
    joint: Joint = Joint.NOT_KNOWN
    wear: Wear | None = None

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A bad splice mostly looks wet or corroded; a sound one seldom does."""
        line.check_box(self.box)
        here = other = 1.0
        if self.wear is not None:
            worn, usual = assumed.worn_if_bad, assumed.worn_otherwise
            is_sound = self.wear is Wear.SOUND
            here, other = (1 - worn, 1 - usual) if is_sound else (worn, usual)
        points = np.arange(len(line.point_ft))
        return Likelihood(
            np.full(len(line.cell_ft), other),
            np.where(points == self.box, here, other),
            everywhere(other),
        )


class Ohms(StrEnum):
    """What the ohms of the whole loop amount to, the wire's own expected ones in mind."""

    OPEN = "open"
    SHORT = "dead short"
    LOW = "coil low"
    AS_EXPECTED = "as expected"
    HIGH = "high"


@dataclass(frozen=True)
class OhmsRead:
    """Ohms of the station's wire, coil and common, read at the controller's end.

    `joined` = the two wires were joined at the valve, so that the coil is not in the loop: a
    bring-home test.
    """

    ohms: Ohms
    joined: bool = False

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """A broken wire reads open, by the symptom short or high; a burnt coil open or low."""
        in_wire = {
            Ohms.OPEN: assumed.leg_reads_open,
            Ohms.SHORT: assumed.leg_reads_short,
            Ohms.HIGH: assumed.leg_reads_high,
            Ohms.LOW: assumed.leg_reads_low,
        }
        fine = {Ohms.AS_EXPECTED: 1.0}
        coil = {
            Ohms.OPEN: assumed.coil_reads_open,
            Ohms.LOW: assumed.coil_reads_low,
            Ohms.SHORT: assumed.coil_reads_short,
        }

        def chance(shares: dict[Ohms, float]) -> float:
            rest = max(0.0, 1 - sum(shares.values()))
            share = shares.get(self.ohms, rest if self.ohms is Ohms.AS_EXPECTED else 0.0)
            return (1 - assumed.ohms_wrong) * share + assumed.ohms_wrong / len(Ohms)

        if self.joined:
            # The coil cannot hide it: a damaged wire never reads as expected by itself.
            in_wire[Ohms.AS_EXPECTED] = 0.0
        wire = chance(in_wire)
        half = chance({Ohms.OPEN: 0.5, Ohms.AS_EXPECTED: 0.5})
        # Another wire leads nowhere or to a coil of its own, at another length and whatever is
        # joined at this valve: our own assumption.
        alone = {Ohms.OPEN: 0.4, Ohms.HIGH: 0.2, Ohms.LOW: 0.1, Ohms.AS_EXPECTED: 0.3}
        other = chance({Ohms.OPEN: 0.4, Ohms.HIGH: 0.6} if self.joined else alone)
        return Likelihood(
            np.full((len(Conductor), len(line.cell_ft)), wire),
            np.full(len(line.point_ft), wire),
            everywhere(chance(fine))
            | dict.fromkeys(END_SPLICES, wire)
            | {
                Outside.COMMON_TERMINAL: half,
                Outside.WRONG_WIRE: other,
                Outside.COIL: chance(fine if self.joined else coil),
            }
            # Joined at the valve, neither the coil nor its splices are in the loop.
            | ({Outside.VALVE_SPLICE: chance(fine)} if self.joined else {}),
        )
