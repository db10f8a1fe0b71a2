"""A place that was mended, or a part replaced, while the station stayed dead."""

from dataclasses import dataclass

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.evidence import Likelihood, UnusableReading, everywhere
from faults.locating.engines.line import Line
from faults.locating.engines.other_tests import CHECKS, Check
from sites.kernel.lazily import np


@dataclass(frozen=True)
class Mended:
    """A break was mended on a leg, or at a box's splice, or a part replaced; still dead.

    `check` names the part by the test that spoke against it.
    """

    leg: int | None = None
    box: int | None = None
    check: Check | None = None

    def likelihood(self, line: Line, assumed: Assumptions) -> Likelihood:
        """Of one fault: it is still there where the mend is not sound, else nothing was mended.

        A break is seen before it is mended; a part is replaced on a test that may have erred, and
        that test speaks for itself.

        Raises:
            UnusableReading: not one place that was mended.
            UnusableLine: the box is not on this line.
        """
        if [self.leg, self.box, self.check].count(None) != 2:
            raise UnusableReading(f"Expected a leg, a box or a part that was mended, got {self}")
        if self.leg is not None and not 0 <= self.leg < len(line.legs):
            raise UnusableReading(f"Expected a leg 0..{len(line.legs) - 1}, got {self.leg}")
        if self.box is not None:
            line.check_box(self.box)
        fails, in_vain = assumed.mend_fails, self.in_vain(assumed)
        points = np.arange(len(line.point_ft))
        part = {} if self.check is None else {CHECKS[self.check]: fails}
        return Likelihood(
            np.where(line.cell_leg == (-1 if self.leg is None else self.leg), fails, in_vain),
            np.where(points == (-1 if self.box is None else self.box), fails, in_vain),
            everywhere(in_vain) | part,
        )

    def in_vain(self, assumed: Assumptions) -> float:
        """Return the chance of such a mend where nothing was wrong at the place."""
        return assumed.mended_for_nothing if self.check is None else 1.0
