"""What a valve should get, and what its controller's transformer carries."""

from dataclasses import dataclass, replace

from sites.models import Controller, Wiring
from sites.wires.engines.alone import (
    Amperes,
    TransformerLoad,
    VoltsAlone,
    transformer_load,
    volts_alone,
)
from sites.wires.engines.copper import UnableToCompute
from sites.wires.services.expected import Expected
from sites.wires.services.reading_limits import amperes


@dataclass(frozen=True, slots=True)
class ExpectedVolts:
    """Volts at a valve whose wire runs alone, with what they were computed from.

    `amperes` are those of all valves on the wire.
    """

    at_valve: VoltsAlone
    volts_out: float
    is_output_known: bool
    amperes: Amperes


@dataclass(frozen=True, slots=True)
class ExpectedLoad:
    """The load of a controller's transformer, with what it was computed from."""

    load: TransformerLoad
    volts_out: float
    is_output_known: bool
    amperes: Amperes


def expected_volts(expected: Expected, controller: Controller) -> ExpectedVolts | None:
    """Return what the valve should get, or None where its wire's ohms are not known.

    All valves on its wire draw at once.
    """
    if expected.wire_ohms is None:
        return None
    drawn = _times(amperes(), max(expected.serves, len(expected.coils)))
    volts_out = controller.output_volts or drawn.nominal_volts
    try:
        at_valve = volts_alone(volts_out=volts_out, wire_ohms=expected.wire_ohms, amperes=drawn)
    except UnableToCompute:
        return None
    return ExpectedVolts(at_valve, volts_out, bool(controller.output_volts), drawn)


def _times(one: Amperes, valves: int) -> Amperes:
    return replace(
        one,
        holding_amperes=one.holding_amperes * valves,
        starting_amperes=one.starting_amperes * valves,
    )


def expected_load(controller: Controller) -> ExpectedLoad | None:
    """Return the transformer's load; on a two-wire path decoders draw too, so there is none."""
    if controller.wiring == Wiring.TWO_WIRE:
        return None
    drawn = amperes()
    volts_out = controller.output_volts or drawn.nominal_volts
    load = transformer_load(
        volts_out=volts_out, transformer_va=controller.transformer_va, amperes=drawn
    )
    return ExpectedLoad(load, volts_out, bool(controller.output_volts), drawn)
