"""What a search has to report: each case that its readings show, with figures and no prose."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import BEHIND, IN_VALVE_BOX, Belief, Outside
from faults.locating.engines.box_tests import TwoSided
from faults.locating.engines.evidence import Reading
from faults.locating.engines.mends import Mended
from faults.locating.engines.options import Stand
from faults.locating.engines.other_tests import Bypassed, Distance
from faults.locating.engines.pairs import after_readings
from faults.locating.engines.symptoms import FINDS_BY_EARTH, Symptom
from faults.locating.engines.tension import chance_of_last, cheapest_retest, clash, p_two
from faults.locating.engines.tones import MarkedLevel, Third, ToneLevel, ToneWalked
from sites.kernel.lazily import np

# A result that was less likely than this is in tension with those before it.
LEAST_CHANCE = 0.05
# A cause outside the wire leads from this share on, where no leg or splice has more.
LEADS = 0.30
# A leg round which a jumper works is as good as found from this share on.
AS_GOOD_AS_FOUND = 0.90
# Under this length the thirds of the tone's level lie over each other.
THIRDS_NEED_FT = 200.0
# A distance may run over the wire's length by this share.
OVER_LENGTH = 0.10
# Readings from both ends may miss the length by so many standard errors.
MOST_ERRORS = 3.0
# After so many walks over a leg for nothing another method is due.
MOST_WALKS = 2


# Under this chance a second fault does not explain a station that a mend left dead.
LEAST_SECOND = 0.5


class Case(StrEnum):
    """What there is to say, the most pressing first."""

    STAYS_ON = "water that cannot be stopped"
    CONTRADICTION = "no explanation is left"
    TENSION = "readings in tension"
    STILL_DEAD = "mended and still dead"
    NO_SECOND_FITS = "mended, and no second fault fits"
    OTHERS_DEAD = "common or transformer, not this wire"
    RUNS_WITH = "fed by another station"
    SEVERAL_WEAK = "several stations weak together"
    AT_CONTROLLER = "look at the controller first"
    AT_VALVE = "look at the valve first"
    OTHER_WIRE = "another wire on the terminal"
    BOTH_BAD = "both sides bad"
    BOTH_GOOD = "both sides good"
    DISTANCE_OUT_OF_RANGE = "distance beyond the wire"
    DISTANCES_DISAGREE = "distances from both ends do not add up"
    LENGTHS_GUESSED = "distance over guessed lengths"
    DRY_LEVEL = "level of the tone in dry soil"
    SHORT_PATH = "thirds overlap on a short wire"
    WALKED_IN_VAIN = "walked more than once for nothing"
    SHORT_PASSES_TONE = "a short lets the tone pass"
    NICK_READS_GOOD = "a nick may read good"
    JUMPER_WORKS = "as good as found by a jumper"
    PAST_BUDGET = "search past its budget"


# What is said of a symptom before anything is tested.
BY_ITSELF = {
    Symptom.STAYS_ON: Case.STAYS_ON,
    Symptom.RUNS_WITH: Case.RUNS_WITH,
    Symptom.SEVERAL_WEAK: Case.SEVERAL_WEAK,
}


@dataclass(frozen=True)
class Finding:
    """One case: its figures by name, and the readings, points and legs that it is about.

    `by_leg` is the likelihood of each leg where a case has a map of its own, else empty.
    """

    case: Case
    figures: Mapping[str, float] = field(default_factory=dict)
    readings: tuple[int, ...] = ()
    points: tuple[int, ...] = ()
    legs: tuple[int, ...] = ()
    by_leg: tuple[float, ...] = ()


@dataclass(frozen=True)
class About:
    """What is known of a search besides its readings. Minutes are minutes of search."""

    symptom: Symptom = Symptom.OPEN
    soil_is_dry: bool = False
    minutes: float = 0.0
    budget_min: float | None = None
    stand: Stand = field(default_factory=Stand)


def findings(
    before: Belief,
    readings: Sequence[Reading],
    assumed: Assumptions,
    belief: Belief | None,
    about: About,
) -> list[Finding]:
    """Return what there is to say, the most pressing first.

    Args:
        before: what was believed before any reading.
        belief: what is believed after all readings; None where they contradict each other.
    """
    seen = _Seen(before, tuple(readings), assumed, belief, about)
    order = list(Case)
    return sorted(seen.all(), key=lambda each: order.index(each.case))


@dataclass(frozen=True)
class _Seen:
    before: Belief
    readings: tuple[Reading, ...]
    assumed: Assumptions
    belief: Belief | None
    about: About

    def all(self) -> Iterator[Finding]:
        yield from self._fit()
        yield from self._mended()
        yield from self._sides()
        yield from self._distances()
        yield from self._tones()
        yield from self._hints()
        if self.belief is not None:
            yield from self._outside(self.belief)
            yield from self._jumper(self.belief)

    def _fit(self) -> Iterator[Finding]:
        pair = clash(self.before, self.readings, self.assumed)
        if pair:
            yield Finding(Case.CONTRADICTION, readings=pair)
            return
        chance = chance_of_last(self.before, self.readings, self.assumed)
        second = p_two(self.before, self.readings, self.assumed)
        if not self.readings or (chance >= LEAST_CHANCE and (second or 0.0) <= 0.5):
            return
        again = cheapest_retest(self.before, self.readings, self.assumed, self.about.stand)
        shares = {"second_fault": second or 0.0, "bad_reading": 1 - (second or 0.0)}
        yield Finding(
            Case.TENSION,
            {"chance": chance, **shares, "retest_min": again.minutes},
            readings=(len(self.readings) - 1, again.reading),
        )

    def _mended(self) -> Iterator[Finding]:
        """The last mend that left the station dead, and where the other fault then lies."""
        mends = [(i, each) for i, each in enumerate(self.readings) if isinstance(each, Mended)]
        # A part that was replaced speaks by its own test.
        breaks = [(i, each) for i, each in mends if each.check is None]
        if not breaks or self.belief is None:
            return
        at, mended = breaks[-1]
        legs = () if mended.leg is None else (mended.leg,)
        points = () if mended.box is None else (mended.box,)
        earlier = after_readings(self.before, self.readings[:at], self.assumed)
        if earlier.share_of_second(mended) < LEAST_SECOND:
            yield Finding(Case.NO_SECOND_FITS, points=points, legs=legs)
            return
        outside = self.belief.outside
        figures = {
            "at_controller": sum(outside[cause] for cause in BEHIND),
            "at_valve": sum(outside[cause] for cause in IN_VALVE_BOX),
        }
        by_leg = tuple(float(share) for share in self.belief.by_leg)
        yield Finding(Case.STILL_DEAD, figures, points=points, legs=legs, by_leg=by_leg)

    def _sides(self) -> Iterator[Finding]:
        """The last test of each box, where its sides read alike."""
        last = {each.box: i for i, each in enumerate(self.readings) if isinstance(each, TwoSided)}
        for box, i in last.items():
            test = self.readings[i]
            if not isinstance(test, TwoSided) or test.controller_bad is not test.valve_bad:
                continue
            if test.controller_bad:
                second = p_two(self.before, self.readings, self.assumed)
                figures = {} if second is None else {"second_fault": second}
                yield Finding(Case.BOTH_BAD, figures, readings=(i,), points=(box,))
            elif test.controller_bad is False:
                yield Finding(Case.BOTH_GOOD, readings=(i,), points=(box,))

    def _distances(self) -> Iterator[Finding]:
        line = self.before.line
        read = [
            (i, each)
            for i, each in enumerate(self.readings)
            if isinstance(each, Distance) and not each.is_farthest
        ]
        for i, each in read:
            if not 0 <= each.feet <= (1 + OVER_LENGTH) * line.length_ft:
                figures = {"feet": each.feet, "length_ft": line.length_ft}
                yield Finding(Case.DISTANCE_OUT_OF_RANGE, figures, readings=(i,))
        guessed = tuple(i for i, leg in enumerate(line.legs) if leg.is_guessed)
        if read and guessed:
            yield Finding(Case.LENGTHS_GUESSED, readings=(read[-1][0],), legs=guessed)
        ends = {each.from_valve: (i, each) for i, each in read}
        if len(ends) == 2:
            yield from self._both_ends(ends[False], ends[True])

    def _both_ends(
        self, near: tuple[int, Distance], far: tuple[int, Distance]
    ) -> Iterator[Finding]:
        length = self.before.line.length_ft
        total = near[1].feet + far[1].feet
        guessed = float(self.before.line.guessed_ft(np.array([length]))[0])
        sd = float(
            np.hypot(
                np.hypot(self._sd(near[1]), self._sd(far[1])),
                self.assumed.guessed_sd_share * guessed,
            )
        )
        if abs(total - length) > MOST_ERRORS * sd:
            figures = {"sum_ft": total, "length_ft": length, "sd_ft": sd}
            yield Finding(Case.DISTANCES_DISAGREE, figures, readings=(near[0], far[0]))

    def _sd(self, reading: Distance) -> float:
        sd = self.assumed.distance_sd_ft if reading.sd_ft is None else reading.sd_ft
        share = self.assumed.distance_sd_share if reading.sd_share is None else reading.sd_share
        return float(np.hypot(sd, share * reading.feet))

    def _tones(self) -> Iterator[Finding]:
        length = self.before.line.length_ft
        walks = np.zeros(len(self.before.line.legs), dtype=int)
        for i, each in enumerate(self.readings):
            if isinstance(each, ToneLevel | MarkedLevel) and each.soil_is_dry:
                yield Finding(Case.DRY_LEVEL, readings=(i,))
            elif isinstance(each, ToneLevel) and each.third is Third.LOW:
                if length < THIRDS_NEED_FT:
                    yield Finding(Case.SHORT_PATH, {"length_ft": length}, readings=(i,))
            elif isinstance(each, ToneWalked):
                low, high = sorted((each.start, each.end))
                walks[low:high] += 1
        if (walks >= MOST_WALKS).any():
            legs = tuple(np.flatnonzero(walks >= MOST_WALKS).tolist())
            yield Finding(Case.WALKED_IN_VAIN, {"times": float(walks.max())}, legs=legs)

    def _hints(self) -> Iterator[Finding]:
        symptom, spent = self.about.symptom, self.about.minutes
        if symptom in BY_ITSELF:
            yield Finding(BY_ITSELF[symptom])
        if symptom is Symptom.SHORT:
            yield Finding(Case.SHORT_PASSES_TONE, {"detects": self.assumed.tone_detects})
        if symptom is Symptom.LEAK or (self.about.soil_is_dry and symptom in FINDS_BY_EARTH):
            yield Finding(Case.NICK_READS_GOOD, {"sensitivity": self.assumed.box_sensitivity})
        if self.about.budget_min is not None and spent > self.about.budget_min:
            figures = {"minutes": spent, "budget_min": self.about.budget_min}
            yield Finding(Case.PAST_BUDGET, figures)

    def _outside(self, belief: Belief) -> Iterator[Finding]:
        outside = belief.outside
        common = outside[Outside.COMMON_TERMINAL]
        if common > 0.5:
            yield Finding(Case.OTHERS_DEAD, {"share": common})
        most = max(float(belief.by_leg.max()), float(belief.splice.max()), LEADS)
        at_controller = sum(outside[cause] for cause in BEHIND)
        at_valve = sum(outside[cause] for cause in IN_VALVE_BOX)
        if at_controller >= most:
            yield Finding(Case.AT_CONTROLLER, {"share": at_controller})
        # Of a valve that does not shut its own case says more.
        if at_valve >= most and self.about.symptom is not Symptom.STAYS_ON:
            yield Finding(Case.AT_VALVE, {"share": at_valve})
        if outside[Outside.WRONG_WIRE] >= most:
            yield Finding(Case.OTHER_WIRE, {"share": outside[Outside.WRONG_WIRE]})

    def _jumper(self, belief: Belief) -> Iterator[Finding]:
        for i, each in enumerate(self.readings):
            if isinstance(each, Bypassed) and each.works:
                share = float(belief.by_leg[each.leg])
                if share > AS_GOOD_AS_FOUND:
                    figures = {"share": share}
                    yield Finding(Case.JUMPER_WORKS, figures, readings=(i,), legs=(each.leg,))
