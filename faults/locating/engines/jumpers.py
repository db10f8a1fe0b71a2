"""Going round a part of the wire: a jumper over one leg, or a spare instead of the whole wire."""

from collections.abc import Iterator, Sequence

import numpy as np

from faults.locating.engines.actions import BypassLeg, MoveToSpare
from faults.locating.engines.costs import Prices
from faults.locating.engines.evidence import Reading, weighed
from faults.locating.engines.ground import Ground, most
from faults.locating.engines.line import JUST_BELOW, Floats, Joint
from faults.locating.engines.options import Option
from faults.locating.engines.other_tests import Bypassed, SpareTried

# A jumper or a spare that is less likely than this to run, or not to run, tells nothing new.
LEAST_NEWS = 0.08 * JUST_BELOW
# So many legs are priced, the likeliest ones.
MOST_JUMPERS = 4


class Jumpers(Ground):
    """The jumpers and the spare of a plan."""

    def _jumpers(self) -> Iterator[Option]:
        if not self.tools.jumper:
            return
        share = np.add.reduceat(self.belief.legs[[0, 2]].sum(axis=0), self.line.first_cell)
        legs = [
            leg
            for leg in np.flatnonzero(most(share, MOST_JUMPERS)).tolist()
            if LEAST_NEWS <= share[leg] <= 1 - LEAST_NEWS and np.isfinite(self._access_min(leg))
        ]
        if not legs:
            return
        results = [Bypassed(leg, works) for leg in legs for works in (True, False)]
        ends = np.repeat(np.array(legs) + 2, 2)
        after = self._after(results, ends).reshape(len(legs), 2).sum(axis=1)
        for leg, price in zip(legs, after, strict=True):
            there = float(self.terrain.walk_min[self.here, leg + 1])
            own = there + self._access_min(leg)
            yield Option(
                BypassLeg(leg),
                self.minutes(float(price * np.exp(self.k * own))),
                own,
                finds=float(share[leg]),
            )

    def _access_min(self, leg: int) -> float:
        """Minutes to reach the wire at both ends of a leg and lay a jumper along it."""
        along = float(self.terrain.walk_min[leg + 1, leg + 2])
        return self._reach_min(leg) + self._reach_min(leg + 1) + self.assumed.jumper_min + along

    def _reach_min(self, point: int) -> float:
        """Minutes to lay the wire bare at a point; endless where it would have to be cut."""
        if not 1 <= point <= len(self.line.boxes):
            return self.assumed.repeat_min
        box = self.line.boxes[point - 1]
        is_open = self.stand.open_box == point and self.stand.at == point
        opening = self.assumed.repeat_min if is_open else box.open_min
        if box.joint is Joint.SPLICED:
            return opening
        cut = self.assumed.cut_uncut_min + self.assumed.lasting_splice_min
        return opening + cut if self.tools.may_cut else float("inf")

    def _spare(self) -> Iterator[Option]:
        """Move to a spare: where it runs the station is served, where not the search goes on."""
        minutes = self.tools.spare_min
        if minutes is None:
            return
        dead = weighed(self.belief, SpareTried(works=False), self.assumed)
        runs = self.total - dead.total
        if runs / self.total < LEAST_NEWS:
            return
        rest = float(self._after([SpareTried(works=False)], np.array([self.here]))[0])
        price = np.exp(self.k * minutes) * (runs + rest)
        yield Option(
            MoveToSpare(), self.minutes(float(price)), minutes, finds=float(runs / self.total)
        )

    def _after(self, results: Sequence[Reading], at: object) -> Floats:
        """Price what each result leaves, weighed by its chance, from a point for each."""
        after = [weighed(self.belief, result, self.assumed) for result in results]
        masses = self.masses(
            np.stack([each.legs.sum(axis=0) for each in after]),
            self.belief,
            np.stack([self.outer(each) for each in after]),
        )
        return Prices(self.terrain, masses).from_point(np.asarray(at))
