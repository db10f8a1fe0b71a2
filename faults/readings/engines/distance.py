"""How far away a wire is broken, by bridge, capacitance or echo; by loops: `distance_loops`.

Each method returns `Distance`: feet from the end that was measured, with a standard error that
comes from the stated errors of the readings. What cannot be is refused, with what to check; what
lies beyond an end by no more than its error is that end.

Where the loop of that very wire is measured, it sets the scale: the place is a share of it times
the run's length, and neither the wire's size nor its warmth moves it.

Convention of bridges: P is the ratio arm on the sound wire, Q the arm on the faulty wire, so
P/Q = (loop - X) / X, where X is the resistance to the fault along the faulty wire.
"""

from collections.abc import Mapping, Sequence
from math import hypot, inf, sqrt

from faults.readings.engines.placing import (
    ERRORS_EXPLAIN,
    METER_ERROR_OHMS,
    Check,
    Distance,
    ImpossibleDistance,
    Pieces,
    by_ohms_error,
    feet_at,
    length_of,
    measured_loop,
    not_negative,
    on_wire,
    positive,
    scaled,
    total_ohms,
    with_error,
)

LIGHT_FT_PER_S = 983_571_056.43
# Standard error of a bridge's dial: assumed.
DIAL_ERROR_OHMS = 0.02


def murray_ratio(*, loop_ohms: float, sound_arm: float, faulty_arm: float) -> float:
    """Return X, the ohms to the fault along the faulty wire: Q / (P + Q) of the loop."""
    positive(loop_ohms=loop_ohms, sound_arm=sound_arm, faulty_arm=faulty_arm)
    return loop_ohms * faulty_arm / (sound_arm + faulty_arm)


def murray(
    *,
    faulty: Pieces,
    sound: Pieces,
    sound_arm: float,
    faulty_arm: float,
    ratio_error: float = 0.002,
) -> Distance:
    """Murray's loop, wires joined at the far end, sizes equal, unequal or mixed by piece.

    Args:
        ratio_error: standard error of Q / (P + Q).
    Source: textbook; Hawkins Electrical Guide vol. 3 for unequal wires.
    """
    loop = total_ohms(faulty) + total_ohms(sound)
    ohms = murray_ratio(loop_ohms=loop, sound_arm=sound_arm, faulty_arm=faulty_arm)
    feet = feet_at(faulty, ohms)
    found = Distance(feet, by_ohms_error(faulty, feet, loop * ratio_error), "Murray loop")
    return on_wire(found, length_of(faulty), Check.ARMS)


def varley_ohms(
    *,
    loop_ohms: float,
    sound_arm: float,
    faulty_arm: float,
    dial_ohms: float,
    error_ohms: float = 0.0,
) -> float:
    """Return X of Varley's loop: (Q loop - P S) / (P + Q).

    Args:
        error_ohms: standard error of X; what it explains may lie below 0.
    """
    positive(loop_ohms=loop_ohms, sound_arm=sound_arm, faulty_arm=faulty_arm)
    not_negative(dial_ohms=dial_ohms)
    ohms = (faulty_arm * loop_ohms - sound_arm * dial_ohms) / (sound_arm + faulty_arm)
    if ohms < -ERRORS_EXPLAIN * error_ohms:
        raise ImpossibleDistance("The fault would lie behind the tester", Check.SWITCH)
    return ohms


def varley(
    *,
    faulty: Pieces,
    sound: Pieces,
    loop_ohms: float,
    sound_arm: float,
    faulty_arm: float,
    dial_ohms: float,
    dial_error_ohms: float = DIAL_ERROR_OHMS,
    loop_error_ohms: float = METER_ERROR_OHMS,
) -> Distance:
    """Varley's loop: the second dial's ohms balance the bridge in the fault position."""
    positive(sound_arm=sound_arm, faulty_arm=faulty_arm)
    measured_loop(loop_ohms, loop_error_ohms)
    arms = {"sound_arm": sound_arm, "faulty_arm": faulty_arm}
    error = hypot(faulty_arm * loop_error_ohms, sound_arm * dial_error_ohms)
    varley_ohms(
        loop_ohms=loop_ohms,
        dial_ohms=dial_ohms,
        error_ohms=error / (sound_arm + faulty_arm),
        **arms,
    )

    def place(given: Mapping[str, float], wires: Sequence[Pieces]) -> float:
        dial = max(given["dial"], 0.0)
        ohms = varley_ohms(loop_ohms=given["loop"], dial_ohms=dial, error_ohms=inf, **arms)
        both = sum(total_ohms(each) for each in wires)
        return feet_at(scaled(wires[0], given["loop"] / both), ohms)

    readings = {"loop": (loop_ohms, loop_error_ohms), "dial": (dial_ohms, dial_error_ohms)}
    found = Distance(*with_error(place, readings, [faulty, sound]), "Varley loop")
    return on_wire(found, length_of(faulty), Check.SWITCH)


def varley_balanced_twice(
    *,
    faulty: Pieces,
    sound: Pieces,
    sound_arm: float,
    faulty_arm: float,
    loop_dial_ohms: float,
    dial_ohms: float,
    dial_error_ohms: float = DIAL_ERROR_OHMS,
) -> Distance:
    """Varley's loop, balanced first for the loop and then for the fault."""
    loop_ohms, loop_error_ohms = loop_by_dial(
        loop_dial_ohms=loop_dial_ohms,
        sound_arm=sound_arm,
        faulty_arm=faulty_arm,
        dial_error_ohms=dial_error_ohms,
    )
    return varley(
        faulty=faulty,
        sound=sound,
        loop_ohms=loop_ohms,
        sound_arm=sound_arm,
        faulty_arm=faulty_arm,
        dial_ohms=dial_ohms,
        dial_error_ohms=dial_error_ohms,
        loop_error_ohms=loop_error_ohms,
    )


def loop_by_dial(
    *,
    loop_dial_ohms: float,
    sound_arm: float,
    faulty_arm: float,
    dial_error_ohms: float = DIAL_ERROR_OHMS,
) -> tuple[float, float]:
    """Return the loop by Varley's first balance, P/Q times its dial, and its standard error."""
    positive(sound_arm=sound_arm, faulty_arm=faulty_arm, loop_dial_ohms=loop_dial_ohms)
    ratio = sound_arm / faulty_arm
    return ratio * loop_dial_ohms, ratio * dial_error_ohms


def open_by_capacitance(
    *,
    length_ft: float,
    broken_nf: float,
    sound_nf: float,
    share_error: float = 0.05,
) -> Distance:
    """A break, by the broken wire's capacitance against a sound one of the same kind."""
    positive(length_ft=length_ft, broken_nf=broken_nf, sound_nf=sound_nf)
    feet = length_ft * broken_nf / sound_nf
    found = Distance(feet, share_error * feet, "capacitance from one end")
    return on_wire(found, length_ft, Check.SOUND_WIRE)


def open_by_capacitance_from_both_ends(
    *, length_ft: float, near_nf: float, far_nf: float, share_error: float = 0.03
) -> Distance:
    """A break, by the capacitance of its two parts."""
    positive(length_ft=length_ft, near_nf=near_nf, far_nf=far_nf)
    near_share = near_nf / (near_nf + far_nf)
    error = length_ft * near_share * (1 - near_share) * share_error * sqrt(2)
    return Distance(length_ft * near_share, error, "capacitance from both ends")


def velocity_factor(*, length_ft: float, seconds: float) -> float:
    """Return the velocity factor from the echo of a sound wire of known length."""
    positive(length_ft=length_ft, seconds=seconds)
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
    positive(seconds=seconds, length_ft=length_ft)
    if not 0 < velocity < 1:
        raise ImpossibleDistance(
            f"Expected a velocity factor between 0 and 1, got {velocity}", Check.SPEED
        )
    feet = velocity * LIGHT_FT_PER_S * seconds / 2
    by_time = velocity * LIGHT_FT_PER_S * time_error_s / 2
    found = Distance(feet, hypot(by_time, velocity_share_error * feet), "reflection time")
    return on_wire(found, length_ft, Check.ECHO)
