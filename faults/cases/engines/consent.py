"""Whether a client's standing authority covers a piece of work."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Limit:
    """Hours or money, or both; None = no limit of that kind is named."""

    hours: Decimal | None = None
    amount: Decimal | None = None

    def __post_init__(self) -> None:
        for value in (self.hours, self.amount):
            if value is not None and value <= 0:
                raise ValueError(f"Expected a limit above 0, got {value}")


def covers(allowed: Limit, stated: Limit) -> bool:
    """Return whether every limit that the client set is met by a figure that was stated.

    An authority that names hours and money asks for both figures; one that names nothing
    covers nothing.
    """
    pairs = [(allowed.hours, stated.hours), (allowed.amount, stated.amount)]
    set_limits = [(most, given) for most, given in pairs if most is not None]
    return bool(set_limits) and all(
        given is not None and given <= most for most, given in set_limits
    )
