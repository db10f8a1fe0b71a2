"""How far away a wire is broken: the classical methods, each with its error.

Each method returns `Distance`: feet from the end that was measured, with a standard error that
comes from the stated errors of the readings. What cannot be is refused, with what to check.

Convention of bridges: P is the ratio arm on the sound wire, Q the arm on the faulty wire, so
P/Q = (loop - X) / X, where X is the resistance to the fault along the faulty wire.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, sqrt

LIGHT_FT_PER_S = 983_571_056.43
# Copper conducts 97 to 101 % of the standard and its warmth is guessed: no ohms tell better.
COPPER_SHARE = 0.03


class Check(StrEnum):
    """What to check when readings give a place that cannot be."""

    VALUES = "a value is not above 0"
    ARMS = "the arms may be the wrong way round"
    SWITCH = "check the switch's position and the arms"
    SHORT = "the fault itself has resistance, or it is not a short"
    LOOP = "the loop's ohms are wrong, or the far end was not open"
    ENDS = "check which reading belongs to which end"
    ORDER = "check which reading is which"
    READINGS = "check the three readings"
    SOUND_WIRE = "the sound wire may be another kind, or the wire is not broken"
    SPEED = "check the length and the time"
    ECHO = "the echo may be a second one, or the velocity is wrong"


class ImpossibleDistance(ValueError):
    """The readings give a place that cannot be; `check` says what to look at, for any language."""

    def __init__(self, what: str, check: Check) -> None:
        super().__init__(f"{what}: {check}.")
        self.check = check


@dataclass(frozen=True, slots=True)
class Distance:
    """Feet from the measured end, with their standard error; `extra_ohms` is the fault's own.

    `is_upper_bound` where resistance in the fault itself may make the figure too long.
    """

    feet: float
    error_ft: float
    method: str
    extra_ohms: float | None = None
    is_upper_bound: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """Some feet of wire with one resistance per 1000 ft."""

    length_ft: float
    ohms_per_kft: float

    def __post_init__(self) -> None:
        if self.length_ft <= 0 or self.ohms_per_kft <= 0:
            raise ImpossibleDistance(
                f"Expected length and ohms > 0, got {self.length_ft} and {self.ohms_per_kft}",
                Check.VALUES,
            )

    @property
    def ohms(self) -> float:
        """Ohms of the piece."""
        return self.length_ft * self.ohms_per_kft / 1000


def murray_ratio(*, loop_ohms: float, sound_arm: float, faulty_arm: float) -> float:
    """Return X, the ohms to the fault along the faulty wire: Q / (P + Q) of the loop."""
    _positive(loop_ohms=loop_ohms, sound_arm=sound_arm, faulty_arm=faulty_arm)
    return loop_ohms * faulty_arm / (sound_arm + faulty_arm)


def murray(
    *,
    faulty: Sequence[Piece],
    sound: Sequence[Piece],
    sound_arm: float,
    faulty_arm: float,
    ratio_error: float = 0.002,
) -> Distance:
    """Murray's loop, wires joined at the far end, sizes equal, unequal or mixed by piece.

    Args:
        ratio_error: standard error of Q / (P + Q).
    Source: textbook; Hawkins Electrical Guide vol. 3 for unequal wires.
    """
    loop = _total(faulty) + _total(sound)
    ohms = murray_ratio(loop_ohms=loop, sound_arm=sound_arm, faulty_arm=faulty_arm)
    feet = _walk(faulty, ohms, Check.ARMS)
    return Distance(feet, _error(faulty, feet, loop * ratio_error), "Murray loop")


def varley_ohms(
    *, loop_ohms: float, sound_arm: float, faulty_arm: float, dial_ohms: float
) -> float:
    """Return X of Varley's loop: (Q loop - P S) / (P + Q)."""
    _positive(loop_ohms=loop_ohms, sound_arm=sound_arm, faulty_arm=faulty_arm)
    _not_negative(dial_ohms=dial_ohms)
    ohms = (faulty_arm * loop_ohms - sound_arm * dial_ohms) / (sound_arm + faulty_arm)
    if ohms < 0:
        raise ImpossibleDistance("The fault would lie behind the tester", Check.SWITCH)
    return ohms


def varley(
    *,
    faulty: Sequence[Piece],
    loop_ohms: float,
    sound_arm: float,
    faulty_arm: float,
    dial_ohms: float,
    dial_error_ohms: float = 0.02,
) -> Distance:
    """Varley's loop: the second dial's ohms balance the bridge in the fault position."""
    ohms = varley_ohms(
        loop_ohms=loop_ohms, sound_arm=sound_arm, faulty_arm=faulty_arm, dial_ohms=dial_ohms
    )
    share = sound_arm / (sound_arm + faulty_arm)
    feet = _walk(faulty, ohms, Check.SWITCH)
    return Distance(feet, _error(faulty, feet, dial_error_ohms * share), "Varley loop")


def dead_short(*, pair: Sequence[Piece], ohms: float, reading_error_ohms: float = 0.1) -> Distance:
    """A short between the two wires, read from one end. Resistance in the fault adds to it.

    Args:
        pair: pieces of hot and common together, ohms of both per 1000 ft of run.
    """
    _not_negative(ohms=ohms)
    feet = _walk(pair, ohms, Check.SHORT)
    error = _error(pair, feet, reading_error_ohms)
    return Distance(feet, error, "loop from one end", is_upper_bound=True)


def short_from_both_ends(
    *,
    pair: Sequence[Piece],
    near_ohms: float,
    far_ohms: float,
    loop_ohms: float,
    reading_error_ohms: float = 0.05,
) -> Distance:
    """A short with resistance of its own, read from both ends with the far end open."""
    _not_negative(near_ohms=near_ohms, far_ohms=far_ohms)
    _positive(loop_ohms=loop_ohms)
    to_fault = (near_ohms - far_ohms + loop_ohms) / 2
    extra = (near_ohms + far_ohms - loop_ohms) / 2
    if extra < -2 * reading_error_ohms:
        raise ImpossibleDistance("The two readings are together less than the loop", Check.LOOP)
    feet = _walk(pair, to_fault, Check.ENDS)
    error = _error(pair, feet, reading_error_ohms * sqrt(3) / 2)
    return Distance(feet, error, "loop from both ends", extra_ohms=max(extra, 0.0))


def blavier(
    *,
    pair: Sequence[Piece],
    open_ohms: float,
    joined_ohms: float,
    loop_ohms: float,
    reading_error_ohms: float = 0.05,
) -> Distance:
    """Blavier's test: one end, far end once open and once joined; a product under the root."""
    _positive(loop_ohms=loop_ohms)
    _not_negative(open_ohms=open_ohms, joined_ohms=joined_ohms)
    if joined_ohms > open_ohms or joined_ohms > loop_ohms:
        raise ImpossibleDistance(
            "With the far end joined it must read less than with it open, and less than the loop",
            Check.ORDER,
        )
    root = sqrt((open_ohms - joined_ohms) * (loop_ohms - joined_ohms))
    feet = _walk(pair, joined_ohms - root, Check.READINGS)
    slope = _blavier_slope(open_ohms, joined_ohms, loop_ohms, root)
    extra = open_ohms - (joined_ohms - root)
    error = _error(pair, feet, reading_error_ohms * slope)
    return Distance(feet, error, "Blavier", extra_ohms=extra)


def _blavier_slope(open_ohms: float, joined_ohms: float, loop_ohms: float, root: float) -> float:
    """How much the result moves for one ohm of error in each reading, added as squares."""
    if root == 0:
        return 1.0
    by_open = (loop_ohms - joined_ohms) / (2 * root)
    by_loop = (open_ohms - joined_ohms) / (2 * root)
    by_joined = 1 + by_open + by_loop
    return sqrt(by_open**2 + by_loop**2 + by_joined**2)


def open_by_capacitance(
    *,
    length_ft: float,
    broken_nf: float,
    sound_nf: float,
    share_error: float = 0.05,
) -> Distance:
    """A break, by the broken wire's capacitance against a sound one of the same kind."""
    _positive(length_ft=length_ft, broken_nf=broken_nf, sound_nf=sound_nf)
    feet = length_ft * broken_nf / sound_nf
    _inside(feet, length_ft, Check.SOUND_WIRE)
    return Distance(feet, share_error * feet, "capacitance from one end")


def open_by_capacitance_from_both_ends(
    *, length_ft: float, near_nf: float, far_nf: float, share_error: float = 0.03
) -> Distance:
    """A break, by the capacitance of its two parts."""
    _positive(length_ft=length_ft, near_nf=near_nf, far_nf=far_nf)
    near_share = near_nf / (near_nf + far_nf)
    error = length_ft * near_share * (1 - near_share) * share_error * sqrt(2)
    return Distance(length_ft * near_share, error, "capacitance from both ends")


def velocity_factor(*, length_ft: float, seconds: float) -> float:
    """Return the velocity factor from the echo of a sound wire of known length."""
    _positive(length_ft=length_ft, seconds=seconds)
    factor = 2 * length_ft / (LIGHT_FT_PER_S * seconds)
    if factor >= 1:
        raise ImpossibleDistance("The pulse would be faster than light", Check.SPEED)
    return factor


def reflection(
    *,
    velocity: float,
    seconds: float,
    length_ft: float,
    time_error_s: float = 5e-9,
    velocity_share_error: float = 0.05,
) -> Distance:
    """A break or short by the time of its echo; calibrate the velocity on a sound wire."""
    _positive(seconds=seconds, length_ft=length_ft)
    if not 0 < velocity < 1:
        raise ImpossibleDistance(
            f"Expected a velocity factor between 0 and 1, got {velocity}", Check.SPEED
        )
    feet = velocity * LIGHT_FT_PER_S * seconds / 2
    _inside(feet, length_ft, Check.ECHO)
    by_time = velocity * LIGHT_FT_PER_S * time_error_s / 2
    return Distance(feet, hypot(by_time, velocity_share_error * feet), "reflection time")


def _walk(pieces: Sequence[Piece], ohms: float, check: Check) -> float:
    """Return the feet at which so many ohms are used up, piece by piece."""
    if ohms < 0:
        raise ImpossibleDistance("The fault would lie behind the tester", check)
    feet, left = 0.0, ohms
    for piece in pieces:
        if left <= piece.ohms:
            return feet + left * 1000 / piece.ohms_per_kft
        left -= piece.ohms
        feet += piece.length_ft
    if left > 1e-9 * max(ohms, 1.0):
        raise ImpossibleDistance("The fault would lie beyond the end of the wire", check)
    return feet


def _error(pieces: Sequence[Piece], feet: float, ohms_error: float) -> float:
    """Ohms of error in feet where the fault lies, and the copper's own uncertainty."""
    start = 0.0
    for here in pieces:
        start += here.length_ft
        if feet <= start:
            break
    return hypot(ohms_error * 1000 / here.ohms_per_kft, COPPER_SHARE * feet)


def _total(pieces: Sequence[Piece]) -> float:
    if not pieces:
        raise ImpossibleDistance("Expected at least one piece of wire, got none", Check.VALUES)
    return sum(piece.ohms for piece in pieces)


def _inside(feet: float, length_ft: float, check: Check) -> None:
    if feet > length_ft:
        raise ImpossibleDistance(f"{feet:.0f} ft lies beyond the wire's {length_ft:.0f} ft", check)


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise ImpossibleDistance(f"Expected {name} > 0, got {value}", Check.VALUES)


def _not_negative(**values: float) -> None:
    for name, value in values.items():
        if not value >= 0:
            raise ImpossibleDistance(f"Expected {name} >= 0, got {value}", Check.VALUES)
