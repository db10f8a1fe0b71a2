"""What one valve gets running alone, and what a controller's transformer carries.

Amperes are common practice, from memory: an ohmmeter does not tell them, because a coil's
impedance is several times its ohms.
"""

from dataclasses import dataclass

from sites.wires.engines.copper import CLASS_2_VA, UnableToCompute, above_0, load_va


@dataclass(frozen=True, slots=True)
class Amperes:
    """What a solenoid valve draws: common practice, from memory, no source."""

    holding_amperes: float = 0.25
    starting_amperes: float = 0.4
    # What is taken for a controller whose output nobody measured.
    nominal_volts: float = 24.0


@dataclass(frozen=True, slots=True)
class VoltsAlone:
    """Volts at a valve that runs alone, as it holds and as it starts."""

    holding: float
    starting: float


def volts_alone(*, volts_out: float, wire_ohms: float, amperes: Amperes) -> VoltsAlone:
    """Return volts at the valve: drops as plain numbers, so the truth is a little higher.

    Raises:
        UnableToCompute: the wire would lose more than the controller gives.
    """
    above_0(volts_out=volts_out)
    holding = volts_out - wire_ohms * amperes.holding_amperes
    starting = volts_out - wire_ohms * amperes.starting_amperes
    if not (wire_ohms >= 0 and min(holding, starting) > 0):
        raise UnableToCompute("The wires would lose more volts than the controller gives.")
    return VoltsAlone(holding, starting)


@dataclass(frozen=True, slots=True)
class TransformerLoad:
    """VA while one valve starts and another holds, beside what the transformer may carry."""

    va: float
    transformer_va: float | None
    class_2_va: float = CLASS_2_VA

    @property
    def is_too_much(self) -> bool:
        """Whether it is more than the nameplate, or than a Class 2 circuit, allows."""
        limit = self.class_2_va
        if self.transformer_va is not None:
            limit = min(limit, self.transformer_va)
        return self.va > limit

    @property
    def is_beyond_class_2(self) -> bool:
        """Whether the nameplate itself is above the Class 2 limit."""
        return self.transformer_va is not None and self.transformer_va > self.class_2_va


def transformer_load(
    *, volts_out: float, transformer_va: float | None, amperes: Amperes
) -> TransformerLoad:
    """Return the load of one starting and one holding valve."""
    va = load_va(
        volts=volts_out,
        inrush_amperes=amperes.starting_amperes,
        holding_amperes=[amperes.holding_amperes],
    )
    return TransformerLoad(va, transformer_va)
