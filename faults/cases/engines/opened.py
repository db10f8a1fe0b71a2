"""Whether a break of a wire lies where nobody reaches it without opening ground."""

# Feet typed in metres come back a hair off the end of the leg.
ROUNDING_FT = 1e-3


def opens_ground(
    *, feet_along: float | None, length_ft: float | None, depth_in: float | None
) -> bool:
    """Return whether a break lies along a leg, away from both its ends, or under ground.

    The ends of a leg are boxes and controllers: there a wire is reached without digging. A place
    or depth that is not known says nothing. The phone asks the same in `sheet/keep.js`.

    Args:
        feet_along: feet from either end of its leg, None where not known.
        length_ft: of that leg, None where the break is on none.
        depth_in: inches under ground, None where not known.
    """
    if depth_in is not None and depth_in > 0:
        return True
    if feet_along is None or length_ft is None:
        return False
    return ROUNDING_FT < feet_along < length_ft - ROUNDING_FT
