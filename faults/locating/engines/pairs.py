"""One fault or two: what is believed when both are possible, and after a mend.

The belief over one fault is exact to the foot. Two faults are kept as ordered pairs of segments
(each conductor of each leg, each splice, each cause outside the wire), the same one twice allowed,
with a chance of `two_faults` before any test. Each reading weighs both: how a test answers where
two places are bad follows from how it answers for each (`_of_both`).

What the plan searches is the fault nearest the controller (`State.belief`): a side of a box that
reads bad for its own reason beyond it no longer draws the search back to the same box.

Source: Bayes' rule; that the second fault lies anywhere by the same odds is our own assumption.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import (
    SPOILS_CONTROLLER_SIDE,
    SPOILS_VALVE_SIDE,
    Belief,
    Contradiction,
    Outside,
    prior,
)
from faults.locating.engines.box_tests import Clamped, Listened, TwoSided
from faults.locating.engines.evidence import Reading, weighed
from faults.locating.engines.line import Bools, Floats
from faults.locating.engines.mends import Mended
from faults.locating.engines.other_tests import (
    Bypassed,
    Checked,
    Distance,
    EarthGradient,
    GradientWalked,
    SpareTried,
)
from faults.locating.engines.seen import Looked, OhmsRead
from faults.locating.engines.segments import Segments
from faults.locating.engines.tones import MarkedLevel, ToneLevel, ToneWalked
from faults.locating.engines.volts import VoltsRead
from sites.kernel.lazily import np


@dataclass(frozen=True)
class State:
    """What is believed after some readings: `one` fault, or `two`; all masses sum to 1.

    Shapes: `two` (s, s) by ordered pairs of segments. `base` is what was believed before any
    reading: within a leg, places without readings of their own lie as there.
    """

    base: Belief
    one: Belief
    two: Floats
    assumed: Assumptions

    @property
    def p_two(self) -> float:
        """Chance that there are two faults."""
        return float(self.two.sum())

    @cached_property
    def belief(self) -> Belief:
        """Where the fault nearest the controller lies; sums to 1."""
        segments = Segments(self.base.line)
        place = segments.place
        beyond = place[None] > place[:, None]
        first = (self.two * beyond).sum(axis=1) + (self.two * (place[None] >= place[:, None])).sum(
            axis=1
        )
        both = segments.spread(first, self.one, self.base)
        return replace(
            self.one,
            legs=self.one.legs + both.legs,
            splice=self.one.splice + both.splice,
            outside={cause: self.one.outside[cause] + both.outside[cause] for cause in Outside},
        ).scaled()

    def chance_of(self, reading: Reading) -> float:
        """Return how likely a result is; a density per foot for a distance."""
        if isinstance(reading, Mended):
            return 1.0
        reading = self._remembering(reading)
        one = weighed(self.one, reading, self.assumed)
        return one.total + float((self.two * self._of_two(reading)).sum())

    def after(self, reading: Reading) -> "State":
        """Return the state after a reading.

        Raises:
            Contradiction: neither one fault nor two explain it.
            UnusableLine, UnusableReading: it cannot be.
        """
        if isinstance(reading, Mended):
            return self._after_mend(reading)
        if isinstance(reading, Bypassed) and reading.stays and not reading.works:
            return self._after_renewal(reading)
        reading = self._remembering(reading)
        one = weighed(self.one, reading, self.assumed)
        if isinstance(reading, ToneWalked | GradientWalked):
            one = replace(one, walked=(*one.walked, reading.walk))
        if isinstance(reading, Listened | Clamped):
            one = replace(one, listened=(*one.listened, reading.listen))
        return self._scaled(one, self.two * self._of_two(reading))

    def scaled(self) -> "State":
        """Return the same with a sum of 1.

        Raises:
            Contradiction: nothing is left.
        """
        return self._scaled(self.one, self.two)

    def _remembering(self, reading: Reading) -> Reading:
        """The same walked or listened to once more tells less than at first."""
        if isinstance(reading, ToneWalked | GradientWalked):
            return replace(reading, earlier=self.one.walked)
        if isinstance(reading, Listened | Clamped):
            return replace(reading, earlier=self.one.listened)
        return reading

    def _of_two(self, reading: Reading) -> Floats:
        seen = reading.likelihood(self.base.line, self.assumed)
        segments = Segments(self.base.line)
        return _of_both(reading, segments.chances(seen, self.base), segments, self.assumed)

    def share_of_second(self, mended: Mended) -> float:
        """Return how likely another fault is why the station is dead after this mend: certain,
        where by the tests nothing was broken at the place that was mended."""
        here = Segments(self.base.line).mended(mended)
        other = float((self.two[here].sum(axis=0) * np.where(here, 1.0, 2.0)).sum())
        total = other + weighed(self.one, mended, self.assumed).total
        return other / total if total > 0 else 1.0

    def _after_mend(self, mended: Mended) -> "State":
        """What is left when a place was mended and the station stayed dead.

        The other of two faults; or the one that was mended, if the mend is not sound; or what was
        there before, if what was mended was whole. Another second fault lies by the same odds.
        """
        left, kept = self._cured(mended, Segments(self.base.line).mended(mended), second_here=1.0)
        kept = kept * mended.in_vain(self.assumed)
        total = float(left.sum())
        again = np.outer(left, left) / total if total > 0 else np.zeros_like(kept)
        share = self.assumed.two_faults
        spread = Segments(self.base.line).spread(left, self.one, self.base)
        return self._scaled(_times(spread, 1 - share), kept + share * again)

    def _after_renewal(self, new: Bypassed) -> "State":
        """What is left when a leg has a new wire and the station stayed dead.

        Nobody saw whether the old one was bad: of two faults the other is left, as likely as it
        was, and that there are two is no likelier than before.
        """
        left, kept = self._cured(new, Segments(self.base.line).renewed(new), second_here=0.0)
        spread = Segments(self.base.line).spread(left, self.one, self.base)
        return self._scaled(spread, kept * self.assumed.bypass_specificity)

    def _cured(self, reading: Reading, here: Bools, *, second_here: float) -> tuple[Floats, Floats]:
        """Return the masses of what may be left alone, (s,), and of pairs that lie elsewhere.

        Of two faults at that place a mend leaves one (`second_here`), a new wire none.
        """
        one = weighed(self.one, reading, self.assumed)
        other = self.two[here].sum(axis=0) * np.where(here, second_here, 2.0)
        kept = self.two * ~(here[:, None] | here[None])
        return Segments(self.base.line).masses(one) + other, kept

    def _scaled(self, one: Belief, two: Floats) -> "State":
        total = one.total + float(two.sum())
        if not (np.isfinite(total) and total > 0):
            raise Contradiction("Expected some explanation to be left, got none")
        return replace(self, one=_times(one, 1 / total), two=two / total)


def _times(belief: Belief, factor: float) -> Belief:
    return replace(
        belief,
        legs=belief.legs * factor,
        splice=belief.splice * factor,
        outside={cause: mass * factor for cause, mass in belief.outside.items()},
    )


def begun(before: Belief, assumed: Assumptions) -> State:
    """Return the state before any reading.

    That a station stands still needs one of two faults that stops it, not both.
    """
    alone = prior(before.line, assumed)
    segments = Segments(before.line)
    masses = segments.masses(alone)
    share = assumed.two_faults
    one, two = np.ones_like(masses), np.outer(masses, masses)
    for other in before.others:
        by_leg, splice, outside = other.chances(before.line, assumed)
        splices = np.full(len(before.line.boxes), splice)
        chance = np.concatenate([by_leg.ravel(), splices, list(outside.values())])
        a, b = chance[:, None], chance[None]
        # All by one factor, so that nothing vanishes where many stand still.
        most = float(chance.max()) or 1.0
        one = one * chance / most
        two = two * (np.minimum(a, b) if other.works else np.maximum(a, b)) / most
    left = segments.spread(masses * one, alone, alone)
    return State(alone, _times(left, 1 - share), share * two, assumed).scaled()


def after_readings(before: Belief, readings: Iterable[Reading], assumed: Assumptions) -> State:
    """Return the state after several readings.

    Raises:
        Contradiction: no explanation is left.
    """
    state = begun(before, assumed)
    for reading in readings:
        state = state.after(reading)
    return state


def _of_both(reading: Reading, chance: Floats, segments: Segments, assumed: Assumptions) -> Floats:
    """Return the chance of a reading for each pair, from its chance for each segment alone.

    Walks in vain miss each by itself. A test of one thing reads bad if either fault makes it
    bad: whichever result tells of a fault is then as likely as for the likelier of the two. An
    instrument at an end sees the nearest fault, two probes either.
    """
    a, b = chance[:, None], chance[None]
    match reading:
        case TwoSided():
            return _of_sides(reading, segments, assumed)
        case VoltsRead():
            return _of_volts(reading, segments, assumed)
        case ToneWalked() | GradientWalked():
            return a * b
        case Distance() | ToneLevel() | MarkedLevel():
            place = segments.place
            nearer = place[:, None] >= place if reading.from_valve else place[:, None] <= place
            same = place[:, None] == place
            return np.where(same, (a + b) / 2, np.where(nearer, a, b))
        case EarthGradient():
            return (a + b) / 2
        case Listened(heard=is_fine) | Clamped(flows=is_fine):
            return np.minimum(a, b) if is_fine else np.maximum(a, b)
        case Bypassed(works=is_fine) | SpareTried(works=is_fine) | Checked(is_right=is_fine):
            return np.minimum(a, b) if is_fine else np.maximum(a, b)
        case Looked() | OhmsRead():
            # Of two, the one that shows is the one by which such a thing is likelier.
            return np.maximum(a, b)
    raise TypeError(f"Expected a reading whose answer to two faults is known, got {reading}")


def _of_sides(test: TwoSided, segments: Segments, assumed: Assumptions) -> Floats:
    """A side reads bad if either fault makes it bad; the station runs if no fault is left."""
    at = 2 * test.box - 1
    place = segments.place
    is_inside = np.arange(len(place)) < len(place) - len(Outside)
    ends = np.array([cause in SPOILS_CONTROLLER_SIDE for cause in Outside])
    valve = np.array([cause in SPOILS_VALVE_SIDE for cause in Outside])
    before, beyond = is_inside & (place < at), is_inside & (place > at)
    before[~is_inside], beyond[~is_inside] = ends, valve
    pair = test.pair(before[:, None] | before[None], beyond[:, None] | beyond[None], assumed)
    here, elsewhere = test.respliced(assumed)
    is_here = place == at
    return pair * np.where(is_here[:, None] & is_here[None], here, elsewhere)


def _of_volts(read: VoltsRead, segments: Segments, assumed: Assumptions) -> Floats:
    """Volts are low beyond either fault."""
    at, place = 2 * read.box - 1, segments.place
    is_inside = np.arange(len(place)) < len(place) - len(Outside)
    behind = np.array([cause in SPOILS_CONTROLLER_SIDE for cause in Outside])
    before, with_splice = is_inside & (place < at), is_inside & (place <= at)
    before[~is_inside] = with_splice[~is_inside] = behind
    sides = [each[:, None] | each[None] for each in (before, with_splice)]
    return read.chance(sides[0], sides[1], assumed)
