"""What cover and conduit do to a leg: how often it is struck, how slowly a tone is walked over it.

Multipliers without a published source, as all numbers of the model: a company overrides them.
"""

from dataclasses import dataclass, fields

from faults.locating.engines.assumptions import UnusableAssumptions


@dataclass(frozen=True)
class Surroundings:
    """Multipliers by cover, of turf = 1; and what is taken where the records are silent."""

    hazard_in_conduit: float = 0.3
    hazard_planting: float = 2.0
    hazard_paving: float = 0.6
    hazard_road: float = 0.4
    hazard_bare: float = 1.2
    tone_planting: float = 1.5
    tone_paving: float = 1.3
    tone_road: float = 2.0
    tone_bare: float = 1.0
    # Years of watching where nobody knows since when faults were written down.
    years_if_not_known: float = 10.0
    # Moving a station to a spare wire and trying it.
    move_to_spare_min: float = 40.0

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not value > 0:
                raise UnusableAssumptions(f"Expected {each.name} > 0, got {value}")

    def hazard(self, cover: str, *, in_conduit: bool) -> float:
        """Return how many times as often as in turf a leg is struck."""
        factor: float = getattr(self, f"hazard_{cover}", 1.0)
        return factor * (self.hazard_in_conduit if in_conduit else 1.0)

    def tone(self, cover: str) -> float:
        """Return how many times as slowly as over turf a tone is walked."""
        factor: float = getattr(self, f"tone_{cover}", 1.0)
        return factor
