"""Going round a part of the wire: a jumper or a new wire for one leg, a spare for the whole."""

from collections.abc import Iterator
from functools import partial

from faults.locating.engines.actions import BypassLeg, MoveToSpare, RenewLeg
from faults.locating.engines.belief import Conductor
from faults.locating.engines.evidence import weighed
from faults.locating.engines.ground import Asked, Ground, most
from faults.locating.engines.line import JUST_BELOW, Floats
from faults.locating.engines.options import Option
from faults.locating.engines.other_tests import Bypassed, SpareTried
from sites.kernel.lazily import np

# A jumper or a spare that is less likely than this to run, or not to run, tells nothing new.
LEAST_NEWS = 0.08 * JUST_BELOW
# A leg is renewed only where the fault lies this likely.
LEAST_RENEWED = 0.35 * JUST_BELOW
# So many legs are priced, the likeliest ones.
MOST_JUMPERS = 4


class Jumpers(Ground):
    """The jumpers and the spare of a plan."""

    def _jumpers(self) -> Iterator[Asked]:
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
        yield self.after(results, ends, lambda prices: self._bypassed(legs, share, prices))

    def _bypassed(self, legs: list[int], share: Floats, prices: Floats) -> Iterator[Option]:
        after = prices.reshape(len(legs), 2).sum(axis=1)
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
        return self.reach_min(leg) + self.reach_min(leg + 1) + self.assumed.jumper_min + along

    def _renewals(self) -> Iterator[Asked]:
        """Renew a leg: it ends the search wherever on the leg the fault lies."""
        if not self.tools.renew:
            return
        for conductor, which in ((Conductor.HOT, [0, 2]), (Conductor.COMMON, [1])):
            share = np.add.reduceat(self.belief.legs[which].sum(axis=0), self.line.first_cell)
            legs = [leg for leg in range(len(self.line.legs)) if share[leg] >= LEAST_RENEWED]
            if legs:
                in_vain = [Bypassed(leg, works=False, conductor=conductor) for leg in legs]
                told = partial(self._renewed, conductor, legs, share)
                yield self.after(in_vain, np.array(legs) + 2, told)

    def _renewed(
        self, conductor: Conductor, legs: list[int], share: Floats, rest: Floats
    ) -> Iterator[Option]:
        cured = self.assumed.bypass_sensitivity
        for leg, left in zip(legs, rest.tolist(), strict=True):
            feet = self.line.legs[leg].length_ft
            there = float(self.terrain.walk_min[self.here, leg + 1])
            work = self.assumed.renew_setup_min + feet / 100 * self.assumed.renew_min_per_100_ft
            own = there + work
            price = np.exp(self.k * own) * (cured * float(share[leg]) + left)
            finds = float(share[leg])
            yield Option(RenewLeg(leg, conductor), self.minutes(price), own, finds=finds)

    def _spare(self) -> Iterator[Asked]:
        """Move to a spare: where it runs the station is served, where not the search goes on."""
        minutes = self.tools.spare_min
        if minutes is None:
            return
        dead = weighed(self.belief, SpareTried(works=False), self.assumed)
        runs = self.total - dead.total
        if runs / self.total < LEAST_NEWS:
            return

        def told(rest: Floats) -> Iterator[Option]:
            price = np.exp(self.k * minutes) * (runs + float(rest[0]))
            yield Option(
                MoveToSpare(), self.minutes(float(price)), minutes, finds=float(runs / self.total)
            )

        yield self.after([SpareTried(works=False)], np.array([self.here]), told)
