"""Copper: ohms by size and temperature, and the load of a transformer.

Sources, where each function names them again:
- ASTM B258: diameter of AWG sizes (from memory, checked against printed ohms).
- IEC 60028:1925: resistivity of annealed copper, 0.017241 ohm mm2/m at 20 C.
- IEC 60228:2004, table 1: greatest ohms per km of class 1 plain copper.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, pi

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
        return at_20_c * _factor(IEC_PER_K_AT_20_C, temperature_c)


def awg_diameter_in(awg: int) -> float:
    """Return the diameter of a bare wire in inches. Source: ASTM B258 (from memory)."""
    return float(0.005 * 92 ** ((36 - awg) / 39))


def awg_ohms_per_kft(awg: int) -> float:
    """Return ohms per 1000 ft at 20 C from diameter and resistivity (IEC 60028:1925)."""
    mm2 = pi / 4 * (awg_diameter_in(awg) * MM_PER_IN) ** 2
    return OHM_MM2_PER_M / mm2 * 1000 / FT_PER_M


def copper_factor(temperature_c: float) -> float:
    """Return resistance at a temperature over that at 20 C: 1 + 0.00393 (T - 20).

    Raises:
        UnableToCompute: the line has left 0 behind (below -234 C), or the temperature is no number.
    """
    return _factor(PER_K_AT_20_C, temperature_c)


def _factor(per_k: float, temperature_c: float) -> float:
    factor = 1 + per_k * (temperature_c - 20)
    if not (isfinite(factor) and factor > 0):
        raise UnableToCompute(f"Expected a temperature of copper in use, got {temperature_c} C")
    return factor


def load_va(*, volts: float, inrush_amperes: float, holding_amperes: Sequence[float]) -> float:
    """Return the VA while one valve starts and the others hold."""
    return volts * (inrush_amperes + sum(holding_amperes))


def above_0(**values: float) -> None:
    """Raise UnableToCompute for the first value that is no number above 0, by its name."""
    for name, value in values.items():
        if not (isfinite(value) and value > 0):
            raise UnableToCompute(f"Expected {name} > 0, got {value}")
