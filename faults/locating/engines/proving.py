"""Whether this is the station's wire: a tone fed at the valve shows which wire comes from there.

Where another wire sits on the terminal, each test along it reads good and the station stays dead.
"""

from collections.abc import Iterator

from faults.locating.engines.actions import ProveWire
from faults.locating.engines.belief import Conductor, Outside
from faults.locating.engines.costs import Masses
from faults.locating.engines.ground import Asked, Ground
from faults.locating.engines.line import Floats
from faults.locating.engines.options import Option
from faults.locating.engines.walks import LEAST_WALK
from sites.kernel.lazily import np


class Proving(Ground):
    """The proof of a plan: another wire is found at the controller and settled there."""

    @property
    def wrong_wire(self) -> float:
        """Mass of another wire on the terminal."""
        return self.belief.outside[Outside.WRONG_WIRE]

    def _proofs(self) -> Iterator[Asked]:
        if not self.tools.tone or self.wrong_wire / self.total < LEAST_WALK:
            return
        m = self.prices.m
        found = self.assumed.check_sensitivity * self.wrong_wire
        less = found * (np.arange(self.terrain.gaps) == self.terrain.gaps - 1)
        reached = less * self.settle * self.back
        masses = Masses(m.gap - less, m.point, m.left - reached, m.right - reached)

        def told(rest: Floats) -> Iterator[Option]:
            own = self._proof_min()
            settle = float(np.exp(self.k * self.assumed.settle_outside_min))
            price = float(np.exp(self.k * own)) * (found * settle + float(rest[0]))
            yield Option(ProveWire(), self.minutes(price), own, finds=found / self.total)

        yield Asked(masses, np.array([1]), told)

    def _proof_min(self) -> float:
        """Minutes to feed the tone at the valve, walk to the controller and listen there."""
        walk_min, stand = self.terrain.walk_min, self.stand
        listened = self.assumed.prove_wire_min
        if stand.tone_on is Conductor.HOT and stand.tone_from == self.valve - 1:
            return listened + float(walk_min[self.here, 1])
        there = float(walk_min[self.here, self.valve] + walk_min[self.valve, 1])
        return listened + there + self.assumed.tone_setup_min
