"""Which readings of a mended wire look right.

Source: common practice among irrigation technicians, no document. A 24 VAC solenoid pulls in
at about 19 V; a coil with its wire reads between about 15 and 75 ohms. Insulation is judged by the
limits of every other reading (`judge_insulation`).
"""

from enum import StrEnum

from sites.wires.engines.judge import Judgement, Thresholds, judge_insulation

LEAST_VOLTS_RUNNING = 19.0
MOST_VOLTS_RUNNING = 32.0
LEAST_OHMS = 15.0
MOST_OHMS = 75.0


class Oddity(StrEnum):
    """What is unusual about a reading."""

    VOLTS = "volts"
    OHMS = "ohms"
    INSULATION = "insulation"
    CURRENT = "current"


def oddities(
    *,
    volts: float,
    ohms: float,
    megohms: float | None = None,
    limits: Thresholds | None = None,
) -> list[Oddity]:
    """Return what is unusual about the readings of one proof: it needs words, not a refusal.

    Args:
        megohms: at 20 C.
    """
    found = []
    if not LEAST_VOLTS_RUNNING <= volts <= MOST_VOLTS_RUNNING:
        found.append(Oddity.VOLTS)
    if not LEAST_OHMS <= ohms <= MOST_OHMS:
        found.append(Oddity.OHMS)
    if megohms is not None and judge_insulation(megohms, limits) is not Judgement.FINE:
        found.append(Oddity.INSULATION)
    return found


def oddities_at_decoder(*, volts: float | None, current_ma: float | None) -> list[Oddity]:
    """Return what is unusual at the decoder of a two-wire path while its coil runs.

    What decoders put out differs by make and no figure holds for all, so only nothing at all is
    unusual. What was not measured is not judged.
    """
    found = []
    if volts is not None and volts <= 0:
        found.append(Oddity.VOLTS)
    if current_ma is not None and current_ma <= 0:
        found.append(Oddity.CURRENT)
    return found
