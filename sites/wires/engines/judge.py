"""What a reading says of a station's circuit, against what it should read."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from sites.wires.engines.copper import UnableToCompute


class Judgement(StrEnum):
    """What a reading says of a station's circuit."""

    FINE = "fine"
    OPEN = "open"
    PARTIAL = "partial"
    TWO_COILS = "two coils"
    ONE_COIL_OPEN = "one coil open"
    SHORT_AT_VALVE = "short at the valve"
    SHORT_ON_THE_WAY = "short on the way"
    LOW = "low"
    LEAK = "leak to earth"
    WATCH = "watch"
    NOT_KNOWN = "not known"
    OFF_THE_COIL = "off the coil"


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Where one judgement ends and the next begins: common practice, no source.

    `band` is the share of the expected ohms within which a reading is fine.
    """

    open_ohms: float = 10_000.0
    band: float = 0.20
    good_from_ohms: float = 20.0
    good_to_ohms: float = 60.0
    leak_megohms: float = 0.1
    watch_megohms: float = 0.5


@dataclass(frozen=True, slots=True)
class Expectation:
    """What a station should read, as far as its wire and its coils are known.

    `coils` are the ohms of each coil on its wire, where all are known.
    """

    total_ohms: float | None
    wire_ohms: float | None
    own_last_good_ohms: float | None = None
    coils: tuple[float, ...] = ()

    @property
    def best_ohms(self) -> float | None:
        """Its own last good reading where there is one, else what was computed."""
        return self.own_last_good_ohms or self.total_ohms


def judge_ohms(
    reading_ohms: float, expected: Expectation, thresholds: Thresholds | None = None
) -> Judgement:
    """Judge a reading at the controller, the common disconnected and the station off.

    Raises:
        UnableToCompute: the reading is negative, or no number.
    """
    limits = thresholds or Thresholds()
    if not reading_ohms >= 0:
        raise UnableToCompute(f"Expected ohms >= 0, got {reading_ohms}: check the leads.")
    if reading_ohms >= limits.open_ohms:
        return Judgement.OPEN
    best = expected.best_ohms
    if best is None:
        return _judge_by_rule_of_thumb(reading_ohms, limits)
    if abs(reading_ohms - best) <= limits.band * best:
        return Judgement.FINE
    if reading_ohms > best:
        is_one_open = _lacks_a_coil(reading_ohms, expected, limits)
        return Judgement.ONE_COIL_OPEN if is_one_open else Judgement.PARTIAL
    return _judge_low(reading_ohms, best, expected.wire_ohms, limits)


def _judge_by_rule_of_thumb(reading_ohms: float, limits: Thresholds) -> Judgement:
    if reading_ohms < limits.good_from_ohms:
        return Judgement.LOW
    return Judgement.FINE if reading_ohms <= limits.good_to_ohms else Judgement.PARTIAL


def _judge_low(
    reading_ohms: float, best: float, wire_ohms: float | None, limits: Thresholds
) -> Judgement:
    if wire_ohms is None:
        return Judgement.LOW
    if _is_of_two_coils(reading_ohms, best - wire_ohms, wire_ohms, limits):
        return Judgement.TWO_COILS
    if reading_ohms < wire_ohms * (1 - limits.band):
        return Judgement.SHORT_ON_THE_WAY
    if reading_ohms <= wire_ohms * (1 + limits.band):
        return Judgement.SHORT_AT_VALVE
    return Judgement.LOW


def side_by_side(coils: Sequence[float]) -> float:
    """Return the ohms of coils side by side: two read a x b / (a + b)."""
    return 1 / sum(1 / coil for coil in coils)


def _lacks_a_coil(reading_ohms: float, expected: Expectation, limits: Thresholds) -> bool:
    """Whether the wire reads as with one of its coils open: its own, or its lead or splice."""
    if expected.wire_ohms is None or len(expected.coils) < 2:
        return False
    for i in range(len(expected.coils)):
        left = side_by_side(expected.coils[:i] + expected.coils[i + 1 :]) + expected.wire_ohms
        if abs(reading_ohms - left) <= limits.band * left:
            return True
    return False


def _is_of_two_coils(
    reading_ohms: float, coil_ohms: float, wire_ohms: float, limits: Thresholds
) -> bool:
    """Whether the wire and its coil beside another read so: one alike, or any good one.

    Two side by side read a x b / (a + b). Of another coil nobody knows more than that a good one
    has `good_from_ohms` to `good_to_ohms`.
    """
    alike = coil_ohms / 2 + wire_ohms
    if abs(reading_ohms - alike) <= limits.band * alike:
        return True
    if not coil_ohms > 0:
        return False
    least, most = (
        side_by_side((coil_ohms, other)) + wire_ohms
        for other in (limits.good_from_ohms, limits.good_to_ohms)
    )
    return least <= reading_ohms <= most


def judge_insulation(megohms: float, thresholds: Thresholds | None = None) -> Judgement:
    """Judge resistance to earth with both ends free, in wet soil, on wire that is not new.

    Raises:
        UnableToCompute: the reading is negative, or no number.
    """
    limits = thresholds or Thresholds()
    if not megohms >= 0:
        raise UnableToCompute(f"Expected megohms >= 0, got {megohms}")
    if megohms < limits.leak_megohms:
        return Judgement.LEAK
    return Judgement.WATCH if megohms < limits.watch_megohms else Judgement.FINE


def insulation_at_20_c(megohms: float, temperature_c: float) -> float:
    """Return insulation referred to 20 C: it halves for each 10 C more.

    Raises:
        UnableToCompute: the reading is negative, or one of the two is no number.

    Source: the doubling rule of a table for oil equipment; on cable a guide, no more.
    """
    if not (megohms >= 0 and isfinite(temperature_c)):
        raise UnableToCompute(f"Expected megohms >= 0 and C, got {megohms} and {temperature_c}")
    return float(megohms * 2 ** ((temperature_c - 20) / 10))
