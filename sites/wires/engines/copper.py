"""Copper: ohms by size and temperature, the greatest run, the expected ohms of a station.

Sources, where each function names them again:
- ASTM B258: diameter of AWG sizes (from memory, checked against printed ohms).
- IEC 60028:1925: resistivity of annealed copper, 0.017241 ohm mm2/m at 20 C.
- IEC 60228:2004, table 1: greatest ohms per km of class 1 plain copper.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

OHM_MM2_PER_M = 0.017241
PER_K_AT_20_C = 0.00393
IEC_PER_K_AT_20_C = 0.004
FT_PER_M = 1 / 0.3048
MM_PER_IN = 25.4
CLASS_2_VA = 100.0
# IEC 60228:2004 table 1, class 1, plain copper, ohms per km at 20 C. 0.75, 4 and 6 mm2 are
# from memory; the rest were seen in two copies of the table.
IEC_MAX_OHM_PER_KM = {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08}


class UnableToCompute(ValueError):
    """The input does not describe a circuit that can be computed; the message says why."""


class TwoWirePathDeclined(UnableToCompute):
    """Stations on a two-wire path share its wires; these formulas do not hold there."""

    def __init__(self) -> None:
        super().__init__(
            "This controller reaches its valves over a two-wire path: its wires carry power and "
            "orders together, and the ohms of one station say nothing. Use the maker's own test."
        )


@dataclass(frozen=True, slots=True)
class WireSize:
    """One size of solid copper wire: AWG number, or mm2 by IEC 60228 class 1.

    Raises:
        UnableToCompute: neither or both are given, or the size is outside the tables.
    """

    awg: int | None = None
    mm2: float | None = None

    def __post_init__(self) -> None:
        if (self.awg is None) == (self.mm2 is None):
            raise UnableToCompute(f"Expected awg or mm2, got awg={self.awg} and mm2={self.mm2}")
        if self.awg is not None and not 10 <= self.awg <= 20:
            raise UnableToCompute(f"Expected an AWG size from 10 to 20, got {self.awg}")
        if self.mm2 is not None and self.mm2 not in IEC_MAX_OHM_PER_KM:
            known = ", ".join(str(size) for size in IEC_MAX_OHM_PER_KM)
            raise UnableToCompute(f"Expected one of {known} mm2, got {self.mm2}")

    def ohms_per_kft(self, temperature_c: float = 20.0) -> float:
        """Return ohms per 1000 ft of one wire; for mm2 sizes the greatest that IEC allows."""
        if self.awg is not None:
            return awg_ohms_per_kft(self.awg) * copper_factor(temperature_c)
        assert self.mm2 is not None
        at_20_c = IEC_MAX_OHM_PER_KM[self.mm2] / FT_PER_M
        return at_20_c * (1 + IEC_PER_K_AT_20_C * (temperature_c - 20))


def awg_diameter_in(awg: int) -> float:
    """Return the diameter of a bare wire in inches. Source: ASTM B258 (from memory)."""
    return float(0.005 * 92 ** ((36 - awg) / 39))


def awg_ohms_per_kft(awg: int) -> float:
    """Return ohms per 1000 ft at 20 C from diameter and resistivity (IEC 60028:1925)."""
    mm2 = pi / 4 * (awg_diameter_in(awg) * MM_PER_IN) ** 2
    return OHM_MM2_PER_M / mm2 * 1000 / FT_PER_M


def copper_factor(temperature_c: float) -> float:
    """Return resistance at a temperature over that at 20 C: 1 + 0.00393 (T - 20)."""
    return 1 + PER_K_AT_20_C * (temperature_c - 20)


def greatest_run_ft(
    *,
    volts_out: float,
    volts_needed: float,
    amperes: float,
    hot_ohms_per_kft: float,
    common_ohms_per_kft: float,
) -> float:
    """Return the longest one-way run in feet at which the valve still gets its volts.

    Raises:
        UnableToCompute: a value is not above 0, or fewer volts leave than are needed.
    """
    above_0(volts_needed=volts_needed, amperes=amperes)
    above_0(hot_ohms_per_kft=hot_ohms_per_kft, common_ohms_per_kft=common_ohms_per_kft)
    if volts_out <= volts_needed:
        raise UnableToCompute(
            f"Only {volts_out} V leave the controller and {volts_needed} V are needed: "
            "no length of wire works. Measure the controller's output."
        )
    return 1000 * (volts_out - volts_needed) / amperes / (hot_ohms_per_kft + common_ohms_per_kft)


def greatest_ohms_per_kft(*, volts_drop: float, length_ft: float, amperes: float) -> float:
    """Return the most ohms per 1000 ft of one wire, hot and common alike, for a run."""
    above_0(volts_drop=volts_drop, length_ft=length_ft, amperes=amperes)
    return 1000 * volts_drop / (2 * length_ft * amperes)


def thinnest_awg(most_ohms_per_kft: float) -> int:
    """Return the thinnest even AWG size from 20 to 10 whose ohms do not pass the most.

    Raises:
        UnableToCompute: even No. 10 is too thin.
    """
    for awg in range(20, 9, -2):
        if awg_ohms_per_kft(awg) <= most_ohms_per_kft:
            return awg
    raise UnableToCompute("No wire from No. 20 to No. 10 is thick enough: shorten the run.")


def load_va(*, volts: float, inrush_amperes: float, holding_amperes: Sequence[float]) -> float:
    """Return the VA while one valve starts and the others hold."""
    return volts * (inrush_amperes + sum(holding_amperes))


def above_0(**values: float) -> None:
    """Raise UnableToCompute for the first value that is not above 0, by its name."""
    for name, value in values.items():
        if not value > 0:
            raise UnableToCompute(f"Expected {name} > 0, got {value}")


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some feet of one wire of one size."""

    length_ft: float
    size: WireSize

    def ohms(self, temperature_c: float = 20.0) -> float:
        """Return the ohms of the stretch."""
        return self.length_ft / 1000 * self.size.ohms_per_kft(temperature_c)


def expected_ohms(
    *,
    hot: Sequence[Stretch],
    common: Sequence[Stretch],
    coil_ohms_at_20_c: float,
    temperature_c: float = 20.0,
) -> float:
    """Return what an ohmmeter at the controller's terminals should read: wire, coil, wire."""
    above_0(coil_ohms_at_20_c=coil_ohms_at_20_c)
    wires = sum(stretch.ohms(temperature_c) for stretch in [*hot, *common])
    return coil_ohms_at_20_c * copper_factor(temperature_c) + wires
