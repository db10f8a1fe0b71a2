"""Where on a wire so many ohms lie, how far the errors move it, and what lies beyond its ends."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import hypot, isfinite, sqrt

# Copper conducts 97 to 101 % of the standard and its warmth is guessed: no ohms tell better.
COPPER_SHARE = 0.03
# A difference of this many standard errors is no longer explained by them. Our own choice.
ERRORS_EXPLAIN = 3.0
# Standard error of one reading of an ohmmeter. Assumed.
METER_ERROR_OHMS = 0.05


class Check(StrEnum):
    """What to check when readings give a place that cannot be."""

    VALUES = "a value is not above 0"
    ARMS = "the arms may be the wrong way round"
    SWITCH = "check the switch's position and the arms"
    SHORT = "the fault itself has resistance, or it is not a short"
    LOOP = "the loop's ohms are wrong, or the far end was not open"
    NO_LOOP = "the loop reads no more than the meter's own error"
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
    `beyond_ft` is how far past the end (below 0: before the start) the readings put it, within
    their error: the answer is then that end. `run_ft` is the run's length, where the readings
    told it and nobody else knew.
    """

    feet: float
    error_ft: float
    method: str
    extra_ohms: float | None = None
    is_upper_bound: bool = False
    beyond_ft: float = 0.0
    run_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """Some feet of wire with one resistance per 1000 ft."""

    length_ft: float
    ohms_per_kft: float

    def __post_init__(self) -> None:
        positive(length_ft=self.length_ft, ohms_per_kft=self.ohms_per_kft)

    @property
    def ohms(self) -> float:
        """Ohms of the piece."""
        return self.length_ft * self.ohms_per_kft / 1000


Pieces = Sequence[Piece]
# Feet to the fault, or another figure, by readings and the wires that they were taken on.
Place = Callable[[Mapping[str, float], Sequence[Pieces]], float]


def total_ohms(pieces: Pieces) -> float:
    """Return the ohms of all pieces together."""
    if not pieces:
        raise ImpossibleDistance("Expected at least one piece of wire, got none", Check.VALUES)
    return sum(piece.ohms for piece in pieces)


def feet_at(pieces: Pieces, ohms: float) -> float:
    """Return the feet at which so many ohms are used up; past an end as its last piece goes on."""
    total_ohms(pieces)
    feet, left = 0.0, ohms
    for piece in pieces[:-1]:
        if left <= piece.ohms:
            break
        left -= piece.ohms
        feet += piece.length_ft
    else:
        piece = pieces[-1]
    return feet + left * 1000 / piece.ohms_per_kft


def scaled(pieces: Pieces, factor: float) -> list[Piece]:
    """Return the same pieces with so many times the ohms per foot."""
    return [replace(piece, ohms_per_kft=piece.ohms_per_kft * factor) for piece in pieces]


def with_error(
    place: Place, readings: Mapping[str, tuple[float, float]], wires: Sequence[Pieces]
) -> tuple[float, float]:
    """Return what `place` finds and its standard error, from the standard error of each reading.

    Each reading is moved by its error both ways, and the ohms per foot of each piece by what
    copper may differ: a root near 0 then makes no slope without end. Added as squares.

    Args:
        readings: by name, the value and its standard error.
    """
    given = {name: value for name, (value, _error) in readings.items()}
    found = place(given, wires)
    moved = [
        place({**given, name: value + step}, wires) - found
        for name, (value, error) in readings.items()
        for step in (-error, error)
    ]
    moved += [place(given, other) - found for other in _other_copper(wires)]
    return found, sqrt(sum(each**2 for each in moved) / 2)


def _other_copper(wires: Sequence[Pieces]) -> Iterator[list[Pieces]]:
    """Each piece in turn with more ohms than its size says, and with less."""
    for one, wire in enumerate(wires):
        for at, piece in enumerate(wire):
            for factor in (1 - COPPER_SHARE, 1 + COPPER_SHARE):
                other = [*wire[:at], *scaled([piece], factor), *wire[at + 1 :]]
                yield [*wires[:one], other, *wires[one + 1 :]]


def by_ohms_error(pieces: Pieces, feet: float, ohms_error: float) -> float:
    """Return feet of error where the fault lies: of the ohms, and the copper's own."""
    start = 0.0
    for here in pieces:
        start += here.length_ft
        if feet <= start:
            break
    return hypot(ohms_error * 1000 / here.ohms_per_kft, COPPER_SHARE * feet)


def on_wire(found: Distance, length_ft: float, check: Check) -> Distance:
    """Return the place, brought to the end of the wire where only its own error puts it beyond.

    Raises:
        ImpossibleDistance: it lies beyond an end by more than its errors explain.
    """
    # The last digits of a float are nobody's error.
    reach = ERRORS_EXPLAIN * found.error_ft + 1e-9 * length_ft
    if found.feet < -reach:
        raise ImpossibleDistance("The fault would lie behind the tester", check)
    if not found.feet <= length_ft + reach:
        raise ImpossibleDistance(
            f"{found.feet:.0f} ft would lie beyond the wire's {length_ft:.0f} ft", check
        )
    feet = min(max(found.feet, 0.0), length_ft)
    return replace(found, feet=feet, beyond_ft=found.feet - feet)


def length_of(pieces: Pieces) -> float:
    """Return the feet of all pieces together."""
    return sum(piece.length_ft for piece in pieces)


def is_another_loop(measured_ohms: float, registered_ohms: float, *, error_ohms: float) -> bool:
    """Return whether a measured loop differs from the registered one by more than both errors."""
    error = hypot(error_ohms, COPPER_SHARE * registered_ohms)
    return abs(measured_ohms - registered_ohms) > ERRORS_EXPLAIN * error


def measured_loop(loop_ohms: float, error_ohms: float) -> None:
    """Raise ImpossibleDistance for a loop that its own error explains: it sets no scale."""
    positive(loop_ohms=loop_ohms)
    not_negative(error_ohms=error_ohms)
    if loop_ohms <= ERRORS_EXPLAIN * error_ohms:
        raise ImpossibleDistance(f"The loop reads {loop_ohms:.2f} ohm", Check.NO_LOOP)


def positive(**values: float) -> None:
    """Raise ImpossibleDistance for the first value that is not a number above 0, by its name."""
    for name, value in values.items():
        if not (isfinite(value) and value > 0):
            raise ImpossibleDistance(f"Expected {name} > 0, got {value}", Check.VALUES)


def not_negative(**values: float) -> None:
    """Raise ImpossibleDistance for the first value that is not a number from 0 on."""
    for name, value in values.items():
        if not (isfinite(value) and value >= 0):
            raise ImpossibleDistance(f"Expected {name} >= 0, got {value}", Check.VALUES)
