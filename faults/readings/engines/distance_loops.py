"""How far away a short between two wires is, by ohms of the pair; as `distance`, and its errors."""

from collections.abc import Mapping, Sequence
from math import inf, sqrt

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
    scaled,
    total_ohms,
    with_error,
)


def dead_short(
    *,
    pair: Pieces,
    ohms: float,
    reading_error_ohms: float = 0.1,
    loop_ohms: float | None = None,
) -> Distance:
    """A short between the two wires, read from one end. Resistance in the fault adds to it.

    Args:
        pair: pieces of hot and common together, ohms of both per 1000 ft of run.
        loop_ohms: of a sound loop of the same run, read with the same meter: the scale then.
    """
    if ohms == inf:
        raise ImpossibleDistance("No current flows, so the wires are not joined", Check.SHORT)
    not_negative(ohms=ohms)
    if loop_ohms is None:
        feet = feet_at(pair, ohms)
        error = by_ohms_error(pair, feet, reading_error_ohms)
    else:
        measured_loop(loop_ohms, reading_error_ohms)
        readings = {
            "ohms": (ohms, reading_error_ohms),
            "loop": (loop_ohms, reading_error_ohms),
        }
        feet, error = with_error(
            lambda each, on: _share(on, each["ohms"], each["loop"]), readings, [pair]
        )
    found = Distance(feet, error, "loop from one end", is_upper_bound=True)
    return on_wire(found, length_of(pair), Check.SHORT)


def short_from_both_ends(
    *,
    pair: Pieces,
    near_ohms: float,
    far_ohms: float,
    loop_ohms: float,
    reading_error_ohms: float = METER_ERROR_OHMS,
) -> Distance:
    """A short with resistance of its own, read from both ends with the far end open."""
    not_negative(near_ohms=near_ohms, far_ohms=far_ohms)
    measured_loop(loop_ohms, reading_error_ohms)
    extra = (near_ohms + far_ohms - loop_ohms) / 2
    if extra < -ERRORS_EXPLAIN * reading_error_ohms * sqrt(3) / 2:
        raise ImpossibleDistance("The two readings are together less than the loop", Check.LOOP)

    def place(given: Mapping[str, float], wires: Sequence[Pieces]) -> float:
        loop = given["loop"]
        return _share(wires, (given["near"] - given["far"] + loop) / 2, loop)

    readings = {"near": near_ohms, "far": far_ohms, "loop": loop_ohms}
    feet, error = with_error(place, _each(readings, reading_error_ohms), [pair])
    found = Distance(feet, error, "loop from both ends", extra_ohms=max(extra, 0.0))
    return on_wire(found, length_of(pair), Check.ENDS)


def blavier(
    *,
    pair: Pieces,
    open_ohms: float,
    joined_ohms: float,
    loop_ohms: float,
    reading_error_ohms: float = METER_ERROR_OHMS,
) -> Distance:
    """Blavier's test: one end, far end once open and once joined; a product under the root.

    Near a dead short the root nears 0 and grows steeply: the error is then that of the root.
    """
    not_negative(open_ohms=open_ohms, joined_ohms=joined_ohms)
    measured_loop(loop_ohms, reading_error_ohms)
    if joined_ohms - min(open_ohms, loop_ohms) > ERRORS_EXPLAIN * reading_error_ohms * sqrt(2):
        raise ImpossibleDistance(
            "With the far end joined it must read less than with it open, and less than the loop",
            Check.ORDER,
        )
    readings = _in_order(open_ohms, joined_ohms, loop_ohms)

    def place(given: Mapping[str, float], wires: Sequence[Pieces]) -> float:
        return _share(wires, _to_fault(given), given["loop"])

    feet, error = with_error(place, _each(readings, reading_error_ohms), [pair])
    extra = max(readings["open"] - _to_fault(readings), 0.0)
    found = Distance(feet, error, "Blavier", extra_ohms=extra)
    return on_wire(found, length_of(pair), Check.READINGS)


def short_by_three_readings(
    *,
    pair: Pieces,
    is_length_known: bool,
    open_ohms: float,
    joined_ohms: float,
    far_ohms: float,
    reading_error_ohms: float = METER_ERROR_OHMS,
) -> Distance:
    """A short with resistance of its own on a run whose loop, or even length, nobody knows.

    Read from this end with the far end open (A) and joined (S), and from the far end with this
    one open (B): the fault has sqrt(B (A - S)), what is left of A and B leads to it.

    Args:
        pair: the run, or one piece of any length where nobody knows it.
        is_length_known: then the readings' own loop sets the scale, else the ohms per foot do.

    Source: derived: A - S = f f / (f + b) and B = f + b, where f is the fault and b lies beyond.
    """
    not_negative(open_ohms=open_ohms, joined_ohms=joined_ohms, far_ohms=far_ohms)
    if joined_ohms - open_ohms > ERRORS_EXPLAIN * reading_error_ohms * sqrt(2):
        raise ImpossibleDistance("Joined must read less than open", Check.ORDER)
    readings = _in_order(open_ohms, joined_ohms, inf) | {"far": far_ohms}
    run_ohms = _run_ohms(readings)
    measured_loop(run_ohms, reading_error_ohms)

    def place(given: Mapping[str, float], wires: Sequence[Pieces]) -> float:
        to_fault = given["open"] - _of_fault(given)
        if is_length_known:
            return _share(wires, to_fault, _run_ohms(given))
        return feet_at(wires[0], to_fault)

    del readings["loop"]
    feet, error = with_error(place, _each(readings, reading_error_ohms), [pair])
    run_ft = length_of(pair) if is_length_known else feet_at(pair, run_ohms)
    found = Distance(
        feet,
        error,
        "three readings",
        extra_ohms=_of_fault(readings),
        run_ft=None if is_length_known else run_ft,
    )
    return on_wire(found, run_ft, Check.READINGS)


def loop_by_three_readings(
    *,
    open_ohms: float,
    joined_ohms: float,
    far_ohms: float,
    reading_error_ohms: float = METER_ERROR_OHMS,
) -> tuple[float, float]:
    """Return the loop that three readings tell, and its error: A + B less the fault twice."""
    readings = _in_order(open_ohms, joined_ohms, inf) | {"far": far_ohms}
    del readings["loop"]
    return with_error(
        lambda given, _wires: _run_ohms(given), _each(readings, reading_error_ohms), []
    )


def _of_fault(given: Mapping[str, float]) -> float:
    return sqrt(max(given["far"], 0.0) * max(given["open"] - given["joined"], 0.0))


def _run_ohms(given: Mapping[str, float]) -> float:
    return given["open"] + given["far"] - 2 * _of_fault(given)


def _in_order(open_ohms: float, joined_ohms: float, loop_ohms: float) -> dict[str, float]:
    """The readings, or the likeliest that can be where their errors put joined above another."""
    joined = min(joined_ohms, (joined_ohms + open_ohms) / 2, (joined_ohms + loop_ohms) / 2)
    return {"open": max(open_ohms, joined), "joined": joined, "loop": max(loop_ohms, joined)}


def _to_fault(given: Mapping[str, float]) -> float:
    by_open = max(given["open"] - given["joined"], 0.0)
    by_loop = max(given["loop"] - given["joined"], 0.0)
    return given["joined"] - sqrt(by_open * by_loop)


def _share(wires: Sequence[Pieces], ohms: float, loop_ohms: float) -> float:
    """Return the feet at that share of a measured loop."""
    (pair,) = wires
    if loop_ohms <= 0:
        raise ImpossibleDistance(f"The loop comes to {loop_ohms:.2f} ohm", Check.NO_LOOP)
    return feet_at(scaled(pair, loop_ohms / total_ohms(pair)), ohms)


def _each(readings: Mapping[str, float], error: float) -> dict[str, tuple[float, float]]:
    return {name: (value, error) for name, value in readings.items()}
