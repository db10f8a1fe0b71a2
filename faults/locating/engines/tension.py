"""Readings that do not go together: which two, how unlikely the last, what to repeat."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from faults.locating.engines.assumptions import Assumptions
from faults.locating.engines.belief import Belief, Contradiction
from faults.locating.engines.box_tests import Clamped, Listened, TwoSided
from faults.locating.engines.effects import ALIKE
from faults.locating.engines.evidence import Reading
from faults.locating.engines.line import Line
from faults.locating.engines.options import Stand
from faults.locating.engines.other_tests import Distance, EarthGradient, GradientWalked
from faults.locating.engines.pairs import State, after_readings, begun
from faults.locating.engines.seen import Looked
from faults.locating.engines.tones import MarkedLevel, ToneWalked
from faults.locating.engines.volts import VoltsRead
from sites.kernel.lazily import np

# Results that a reading of a number might have had, to see how far out it lies.
RESULTS = 161
# The numbers of a walk: minutes to set up, minutes for each 100 ft.
WALKED: dict[type, tuple[str, str]] = {
    ToneWalked: ("tone_setup_min", "tone_min_per_100_ft"),
    GradientWalked: ("gradient_setup_min", "gradient_min_per_100_ft"),
}
# Taken at a point of their own; all others at an end.
AT_ITS_POINT = (TwoSided, Listened, Looked, VoltsRead, Clamped, ToneWalked, GradientWalked)


@dataclass(frozen=True)
class Retest:
    """The reading that is repeated at least cost, and its minutes from here."""

    reading: int
    minutes: float


def fitting(before: Belief, readings: Sequence[Reading], assumed: Assumptions) -> tuple[State, int]:
    """Return what is believed after as many readings as go together, and how many those are.

    Where readings contradict each other, this is the map as it was before the one that does
    not fit.
    """
    state = begun(before, assumed)
    for count, reading in enumerate(readings):
        try:
            state = state.after(reading)
        except Contradiction:
            return state, count
    return state, len(readings)


def clash(before: Belief, readings: Sequence[Reading], assumed: Assumptions) -> tuple[int, ...]:
    """Return the readings that leave no explanation: the first that does not fit comes last.

    One earlier reading is named where it alone rules the last one out; none where it takes
    several together. Empty where all readings fit.
    """
    _, last = fitting(before, readings, assumed)
    if last == len(readings):
        return ()
    return (*_rules_out(before, readings, last, assumed), last)


def _rules_out(
    before: Belief, readings: Sequence[Reading], last: int, assumed: Assumptions
) -> tuple[int, ...]:
    for earlier in range(last - 1, -1, -1):
        try:
            after_readings(before, (readings[earlier], readings[last]), assumed)
        except Contradiction:
            return (earlier,)
    return ()


def chance_of_last(before: Belief, readings: Sequence[Reading], assumed: Assumptions) -> float:
    """Return how likely the last reading was, after the others; 1 where there is none.

    For a number this is the chance of any result at most as likely as the one that was read,
    from an instrument that works: else a useless one would explain whatever it reads.

    Raises:
        Contradiction: the readings before the last leave no explanation.
    """
    if not readings:
        return 1.0
    return _chance(after_readings(before, readings[:-1], assumed), readings[-1], assumed)


def _chance(state: State, reading: Reading, assumed: Assumptions) -> float:
    if not isinstance(reading, Distance | EarthGradient | MarkedLevel):
        return state.chance_of(reading)
    works = replace(state, assumed=replace(assumed, distance_useless=0.0, level_useless=0.0))
    results = [reading, *_results(reading, state.base.line)]
    density = np.array([works.chance_of(each) for each in results])
    total = float(density.sum())
    # What lies as far off to the other side counts, whichever way its last digit was rounded.
    return float(density[density <= density[0] * (1 + ALIKE)].sum()) / total if total > 0 else 0.0


def _results(reading: Distance | EarthGradient | MarkedLevel, line: Line) -> list[Reading]:
    if isinstance(reading, MarkedLevel):
        span = reading.on_sound_wire - reading.at_transmitter
        shares = np.linspace(-0.5, 1.5, RESULTS)
        return [replace(reading, level=reading.at_transmitter + s * span) for s in shares.tolist()]
    feet = np.linspace(-0.1, 1.1, RESULTS) * line.length_ft
    return [replace(reading, feet=ft) for ft in feet.tolist()]


def p_two(before: Belief, readings: Sequence[Reading], assumed: Assumptions) -> float | None:
    """Return the chance of two faults after all readings; None where nothing explains them."""
    try:
        return after_readings(before, readings, assumed).p_two
    except Contradiction:
        return None


def cheapest_retest(
    before: Belief, readings: Sequence[Reading], assumed: Assumptions, stand: Stand
) -> Retest:
    """Return which to repeat: the last reading, or the earlier one that speaks most against it."""
    last = len(readings) - 1
    without = [_without(before, readings, i, assumed) for i in range(last)]
    most = max(without, default=0.0) * (1 - ALIKE)
    against = next((i for i, chance in enumerate(without) if chance >= most), last)
    ways = [
        Retest(i, retest_min(readings[i], before.line, assumed, stand)) for i in (last, against)
    ]
    return min(ways, key=lambda way: way.minutes)


def _without(
    before: Belief, readings: Sequence[Reading], leave_out: int, assumed: Assumptions
) -> float:
    """How likely the last reading is without this one; 0 where the others need it."""
    others = [each for i, each in enumerate(readings[:-1]) if i != leave_out]
    try:
        return after_readings(before, others, assumed).chance_of(readings[-1])
    except Contradiction:
        return 0.0


def retest_min(reading: Reading, line: Line, assumed: Assumptions, stand: Stand) -> float:
    """Return the minutes to repeat a reading from here; a box still open takes the test only."""
    at = _place(reading, line)
    there = float(abs(line.point_ft[at] - line.point_ft[stand.at])) / assumed.walk_ft_per_min
    if isinstance(reading, ToneWalked | GradientWalked):
        feet = abs(float(line.point_ft[reading.end] - line.point_ft[reading.start]))
        setup, rate = (float(getattr(assumed, name)) for name in WALKED[type(reading)])
        return there + setup + feet / 100 * rate
    if isinstance(reading, Distance):
        return there + assumed.distance_min
    if 1 <= at <= len(line.boxes) and not (stand.open_box == at == stand.at):
        return there + line.boxes[at - 1].open_min
    return there + assumed.repeat_min


def _place(reading: Reading, line: Line) -> int:
    """The point at which a reading was taken; the controller where it has no place of its own."""
    if isinstance(reading, TwoSided | Listened | Looked | VoltsRead):
        return reading.box
    if isinstance(reading, Clamped):
        return reading.point
    if isinstance(reading, ToneWalked | GradientWalked):
        return reading.start
    from_valve = getattr(reading, "from_valve", False)
    return len(line.boxes) + 1 if from_valve else 0
