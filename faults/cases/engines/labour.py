"""Hours of people by what they did, and which of them no line names yet."""

from collections.abc import Mapping
from decimal import Decimal

from faults.prices.engines.pricing import Charge

ORDER = {charge: n for n, charge in enumerate(Charge)}


def usual_charge(*, digs: bool) -> Charge:
    """Return what a visit is charged as where nobody says what was done on it."""
    return Charge.DIGGING if digs else Charge.TRACING


def hours_open(
    done: Mapping[Charge, Decimal], booked: Mapping[Charge | None, Decimal]
) -> dict[Charge, Decimal]:
    """Return the hours that were spent and that no line names, by what was done.

    A line covers first the hours of its own charge. What it names beyond those, and lines that do
    not say what was done (None), cover the rest in the order of the charges: so the sum of what is
    open is what was spent less what is booked, and never below 0.
    """
    spare = booked.get(None, Decimal(0))
    rest: dict[Charge, Decimal] = {}
    for charge, hours in done.items():
        rest[charge] = max(hours - booked.get(charge, Decimal(0)), Decimal(0))
    for named, hours in booked.items():
        if named is not None:
            spare += max(hours - done.get(named, Decimal(0)), Decimal(0))
    found: dict[Charge, Decimal] = {}
    for charge in sorted(rest, key=lambda each: ORDER[each]):
        covered = min(spare, rest[charge])
        spare -= covered
        if rest[charge] > covered:
            found[charge] = rest[charge] - covered
    return found
